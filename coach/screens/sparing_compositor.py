"""Puts a screen together, and asks only those widgets for rows that are to be sent."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from textual._compositor import ChopsUpdate, Compositor

if TYPE_CHECKING:
    from textual.geometry import Region
    from textual.strip import Strip


class SparingCompositor(Compositor):
    """Leaves out of an update each widget of which nothing is seen in it.

    The library's own asks all that lie between the first and the last row that has
    changed, and all that others cover.  In a run, where the pictures at the top and at
    the bottom change together, that is the whole screen some thirty times a second.
    """

    _changed: frozenset[Region] | None = None
    """What an update is to send; None where that is everything."""

    def render_partial_update(self) -> ChopsUpdate | None:
        """Draw what has changed."""
        self._changed = frozenset(self._dirty_regions)
        try:
            return super().render_partial_update()
        finally:
            self._changed = None

    def _get_renders(
        self, crop: Region | None = None
    ) -> Iterable[tuple[Region, Region, list[Strip]]]:
        """Draw widgets, those in front first, until all that has changed is drawn."""
        if self._changed is None:
            yield from super()._get_renders(crop)
            return
        left = self._changed
        for widget, (region, clip) in self.visible_widgets.items():
            seen = region.intersection(clip)
            if any(seen.overlaps(part) for part in left):
                rows = widget.render_lines(seen.translate(-region.offset))
                yield region, clip, rows
                left = frozenset(r for r in left if not seen.contains_region(r))
