"""Pictures of pixels among the cells, as the terminal's own words for them.

Two ways are spoken.  A sixel picture is painted over cells that are blank, and stays
until one of them is written again.  With the kitty graphics protocol (Unicode
placeholders, "Terminal graphics protocol", kitty's documentation) a picture is sent
once, and cells of a special sign show it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from rich.segment import ControlType, Segment
from rich.style import Style
from textual.strip import Strip

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from textual.geometry import Region

PLACEHOLDER = "\U0010eeee"
ROW_SIGNS = tuple(
    map(
        chr,
        (
            *(0x305, 0x30D, 0x30E, 0x310, 0x312, 0x33D, 0x33E, 0x33F, 0x346, 0x34A),
            *(0x34B, 0x34C, 0x350, 0x351, 0x352, 0x357, 0x35B, 0x363, 0x364, 0x365),
            *(0x366, 0x367, 0x368, 0x369, 0x36A, 0x36B, 0x36C, 0x36D, 0x36E, 0x36F),
        ),
    )
)
"""Marks on a placeholder that tell its row, the first for row 0 (kitty's list)."""

MOST_ROWS = len(ROW_SIGNS)
BLOCK = 4096
"""Letters of a picture that one message may carry."""

FIRST_IMAGE = 0xC0AC00
"""Number of the first picture; it must be a colour, and nobody else's."""

NO_CELLS = ((ControlType.CURSOR_FORWARD, 0),)
"""Marks words that take no cells."""


@dataclass(frozen=True, slots=True)
class PlacedPicture:
    """A picture and the cells that it lies on."""

    x: int
    """First cell."""

    y: int
    """First row."""

    width: int
    """Cells."""

    height: int
    """Rows."""

    picture: str
    """The picture in the terminal's words."""

    number: int
    """Its number among those that are shown; another picture may take it over."""

    @property
    def rows(self) -> range:
        """The rows that it lies on."""
        return range(self.y, self.y + self.height)


def lay_sixels(strips: list[Strip], placed: PlacedPicture, area: Region) -> None:
    """Paint a picture over blank rows; the last of them carries it.

    Parameters
    ----------
    strips : list of Strip
        The rows of an area of the screen; one is changed.
    placed : PlacedPicture
        The picture, its place counted from the area's corner.
    area : Region
        Where that area is on the screen.
    """
    last = placed.y + placed.height - 1
    if not 0 <= last < len(strips):
        return
    strip = strips[last]
    words = (
        _move_to(area.x + placed.x, area.y + placed.y)
        + placed.picture
        + _move_to(area.x + strip.cell_length, area.y + last)
    )
    strips[last] = Strip([*strip, _silent(words)], strip.cell_length)


def lay_placeholders(strips: list[Strip], pictures: Sequence[PlacedPicture]) -> None:
    """Let cells show pictures; the first row of each sends it before.

    Parameters
    ----------
    strips : list of Strip
        The rows of an area of the screen; those of the pictures are changed.
    pictures : sequence of PlacedPicture
        From left to right where they share rows.
    """
    for y, strip in enumerate(strips):
        cells: list[Segment] = []
        after = 0
        for placed in pictures:
            if y not in placed.rows:
                continue
            number = FIRST_IMAGE + placed.number
            if y == placed.y:
                cells.append(_silent("".join(_messages(placed, number))))
            cells.extend(strip.crop(after, placed.x))
            row = PLACEHOLDER + ROW_SIGNS[y - placed.y]
            shown = row + PLACEHOLDER * (placed.width - 1)
            cells.append(Segment(shown, Style(color=f"#{number:06x}")))
            after = placed.x + placed.width
        if cells:
            cells.extend(strip.crop(after))
            strips[y] = Strip(cells, strip.cell_length)


def _messages(placed: PlacedPicture, number: int) -> Iterator[str]:
    """Send a picture, and say how many cells it is shown on."""
    blocks = [
        placed.picture[k : k + BLOCK] for k in range(0, len(placed.picture), BLOCK)
    ]
    for k, block in enumerate(blocks):
        more = int(k < len(blocks) - 1)
        what = (
            f"a=T,U=1,f=100,i={number},c={placed.width},r={placed.height},q=2,"
            if k == 0
            else ""
        )
        yield f"\x1b_G{what}m={more};{block}\x1b\\"


def _silent(words: str) -> Segment:
    """Make a segment of words that take no cells."""
    return Segment(words, Style.null(), NO_CELLS)


def _move_to(x: int, y: int) -> str:
    """Move the cursor to a cell of the screen."""
    return f"\x1b[{y + 1};{x + 1}H"
