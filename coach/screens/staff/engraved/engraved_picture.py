"""A picture of a staff whose notes are engraved, where the terminal can show that.

The staff in cells is shown first; each line's picture takes its place when it comes.
Words around the staff – breaths, names, positions, the pointer, the air – stay rows of
cells, under the heads that they belong to.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING

from textual.geometry import Region
from textual.message import Message

from coach.screens.signs import FULL, Signs
from coach.screens.staff.engraved.engraved_lines import follow_heads, label_cells
from coach.screens.staff.engraved.graphics import (
    MOST_ROWS,
    PlacedPicture,
    lay_placeholders,
    lay_sixels,
)
from coach.screens.staff.engraved.staff_mei import write_mei
from coach.screens.staff.staff_picture import StaffPicture

if TYPE_CHECKING:
    from textual.strip import Strip

    from coach.planning.plan import Plan
    from coach.score.phrase import Part
    from coach.screens.staff.engraved.staff_engraver import Engraver
    from coach.screens.staff.staff_lines import StaffLine
    from coach.screens.staff.terminal_rows import StaffRows
    from coach.screens.widgets.sheet import Sheet


@dataclass(frozen=True, slots=True)
class LineFrame:
    """What a line's picture lies on."""

    width: int
    """Cells, with those of clef and key."""

    has_prefix: bool
    """Clef and key are drawn."""


@dataclass(frozen=True, slots=True)
class Engraved:
    """A line with its picture."""

    line: StaffLine
    """The line, its places under their heads."""

    picture: str
    """The picture in the terminal's words."""

    width: int
    """Cells of the picture."""


class PictureCame(Message):
    """A line is engraved."""

    def __init__(
        self,
        asked: object,
        line: int,
        width: int,
        picture: str,
        heads: Mapping[str, float],
    ) -> None:
        super().__init__()
        self.asked = asked
        self.line = line
        self.width = width
        self.picture = picture
        self.heads = heads


class EngravedPicture(StaffPicture):
    """A staff that is engraved where it can be.

    Parameters
    ----------
    engraver : Engraver or None
        What engraves; None where the staff is drawn in cells.
    """

    def __init__(
        self,
        signs: Signs = FULL,
        *,
        engraver: Engraver | None = None,
        id: str | None = None,
    ) -> None:
        super().__init__(signs, id=id)
        self._engraver = engraver
        self._laid_for: object = None
        self._asked: object = None
        self._colours_asked: tuple[str, str, str] | None = None
        self._cell = 1
        self._came: dict[int, PictureCame] = {}
        self._engraved: dict[int, Engraved] = {}
        self._placed: list[PlacedPicture] = []

    def ask_pictures(
        self,
        lines: Sequence[StaffLine],
        frames: Sequence[LineFrame],
        part: Part,
        rows: StaffRows,
    ) -> None:
        """Let all lines be engraved, unless they are already."""
        self.forget_words()
        engraver, colours = self._engraver, self._colours()
        pixels = engraver.cell_pixels() if engraver is not None else None
        height = len(rows.drawn)
        if (
            engraver is None
            or pixels is None
            or colours is None
            or not rows.has_staff
            or height > MOST_ROWS
        ):
            self._asked = None
            self._came.clear()
            return
        places = tuple((line.start, line.end, len(line.places)) for line in lines)
        asked = (part, places, tuple(frames), height, pixels, colours)
        if asked != self._asked:
            self._came.clear()
        elif len(self._came) == len(lines):
            return
        # The same is asked again where another screen's lines went before it.
        self._asked, self._colours_asked = asked, colours
        self._cell = pixels[0]
        engraver.engrave(
            self._documents(lines, frames, part),
            height * pixels[1],
            colours,
            partial(self._tell, asked),
        )

    def _documents(
        self, lines: Sequence[StaffLine], frames: Sequence[LineFrame], part: Part
    ) -> Iterator[tuple[str, int, bool]]:
        """Write the lines when the engraver gets to them."""
        cell = self._cell
        for k, (line, frame) in enumerate(zip(lines, frames, strict=True)):
            mei = write_mei(line, part, has_prefix=frame.has_prefix)
            yield mei, frame.width * cell, k == len(lines) - 1

    def _tell(
        self,
        asked: object,
        line: int,
        width: int,
        picture: str,
        heads: Mapping[str, float],
    ) -> None:
        """Take a picture from the engraver's thread."""
        self.post_message(PictureCame(asked, line, width, picture, heads))

    def on_picture_came(self, message: PictureCame) -> None:
        """Show a picture, unless it is of what is no longer there."""
        message.stop()
        if message.asked == self._asked:
            self._came[message.line] = message
            self._engraved.pop(message.line, None)
            self.redraw()

    def forget_words(self) -> None:
        """Make room for the words of another plan."""
        self._engraved.clear()

    def engraved(
        self,
        index: int,
        line: StaffLine,
        prefix: int,
        part: Part,
        plan: Plan | None,
        *,
        has_names: bool,
    ) -> Engraved | None:
        """Give a line with its picture; None as long as there is none."""
        came = self._came.get(index)
        if came is None:
            return None
        found = self._engraved.get(index)
        if found is None:
            width = came.width // self._cell
            labels = label_cells(line, part, plan, has_names=has_names)
            moved = follow_heads(
                line,
                came.heads,
                labels,
                cell=self._cell,
                prefix=prefix,
                width=width - prefix,
            )
            found = self._engraved[index] = Engraved(moved, came.picture, width)
        return found

    def place_picture(
        self, x: int, y: int, engraved: Engraved, rows: StaffRows
    ) -> None:
        """Lay a line's picture on the rows of its staff, which stay blank."""
        drawn = rows.drawn
        self._placed.append(
            PlacedPicture(
                x,
                y + drawn.start,
                engraved.width,
                len(drawn),
                engraved.picture,
                len(self._placed),
            )
        )

    def _colours(self) -> tuple[str, str, str] | None:
        """Give the colours of ink, staff lines and paper as they are shown."""
        paper = self.rich_style.bgcolor
        ink, rules = (
            self.get_component_rich_style(name).color
            for name in ("staff--note", "staff--rule")
        )
        if paper is None or ink is None or rules is None:
            return None
        ink_hex, rules_hex, paper_hex = (
            color.get_truecolor().hex for color in (ink, rules, paper)
        )
        return ink_hex, rules_hex, paper_hex

    def notify_style_update(self) -> None:
        """Look, once all styles are known, whether the colours are others."""
        super().notify_style_update()
        if self._asked is not None:
            self.call_after_refresh(self._look_at_colours)

    def _look_at_colours(self) -> None:
        """Have everything engraved anew in other colours."""
        if self._asked is not None and self._colours() != self._colours_asked:
            self._laid_for = None
            self.redraw()

    def _draw_anew(self) -> Sheet:
        self._placed = []
        return super()._draw_anew()

    def redraw(self) -> None:
        """Draw anew; where a picture came or went, all of its rows."""
        before = set(self._placed)
        super().redraw()
        width = self.content_size.width
        regions = [
            Region(0, placed.y, width, placed.height)
            for placed in before ^ set(self._placed)
        ]
        if regions and self.is_mounted:
            self.refresh(*regions)

    def render_lines(self, crop: Region) -> list[Strip]:
        """Give the rows, with the pictures that lie on them."""
        strips = super().render_lines(crop)
        engraver, area = self._engraver, self.content_region
        if engraver is None or not self.screen.is_active or crop.size != area.size:
            return strips
        if engraver.graphics == "kitty":
            lay_placeholders(strips, self._placed)
        else:
            for placed in self._placed:
                lay_sixels(strips, placed, area)
        return strips
