"""A picture made of cells, drawn anew only where it changed.

Everything that moves in the coach is a `Picture`: it fills a `Sheet` with signs and
the names of their styles.  What differs from the last sheet is sent to the terminal,
and nothing else.
"""

from __future__ import annotations

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from coach.screens.signs import FULL, Signs
from coach.screens.widgets.sheet import FILLED, Sheet


class Picture(Widget):
    """A widget that is one sheet of cells."""

    def __init__(
        self,
        signs: Signs = FULL,
        *,
        id: str | None = None,
        classes: str | None = None,
    ) -> None:
        super().__init__(id=id, classes=classes)
        self.signs = signs
        self._sheet: Sheet | None = None
        self._known_styles: dict[tuple[str, bool], Style] = {}

    def draw(self, sheet: Sheet) -> None:
        """Fill an empty sheet of the widget's size."""
        raise NotImplementedError

    @property
    def sheet(self) -> Sheet:
        """What is shown now, in the size that there is now."""
        size, sheet = self.content_size, self._sheet
        if sheet is None or (sheet.width, sheet.height) != size:
            sheet = self._sheet = self._draw_anew()
        return sheet

    def redraw(self) -> None:
        """Draw anew and send what changed."""
        if not self.is_mounted:
            return
        old, new = self._sheet, self._draw_anew()
        self._sheet = new
        if old is None or (old.width, old.height) != (new.width, new.height):
            self.refresh()
            return
        changed = new.changes_since(old)
        if changed:
            self.refresh(*changed)

    def _draw_anew(self) -> Sheet:
        size = self.content_size
        sheet = Sheet(size.width, size.height, self.signs)
        if size.width and size.height:
            self.draw(sheet)
        return sheet

    def render_line(self, y: int) -> Strip:
        """Give one row as Textual wants it; each segment has a style of its own."""
        sheet = self.sheet
        if y >= sheet.height:
            return Strip.blank(sheet.width, self._style("", is_filled=False))
        segments = [
            Segment(text, self._style(name, is_filled=text[:1] == FILLED))
            for name, text in sheet.runs(y)
        ]
        return Strip(segments, sheet.width)

    def _style(self, name: str, *, is_filled: bool) -> Style:
        """Find the style of a name; the widget's own for the empty name.

        What is behind a filled cell has its colour too, since some fonts leave
        gaps between blocks.
        """
        style = self._known_styles.get((name, is_filled))
        if style is None:
            style = self.rich_style
            if name:
                style += self.get_component_rich_style(name)
            if is_filled and style.color is not None:
                style += Style.from_color(style.color, style.color)
            self._known_styles[name, is_filled] = style
        return style

    def notify_style_update(self) -> None:
        """Look colours up anew: the theme or a class has changed."""
        super().notify_style_update()
        self._known_styles.clear()
