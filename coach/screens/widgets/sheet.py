"""Cells in rows, to be filled with signs and the names of their styles."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import groupby, zip_longest
from typing import TYPE_CHECKING

from rich.cells import cell_len
from textual.geometry import Region

from coach.screens.signs import FULL, Signs

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator


FILLED = "█"
FILLS = re.compile(f"({FILLED}+)")

NARROW_WORDS = 4096
"""So many signs and words are known to be narrow: more than a screen shows."""

HALF = 2
"""Halves of a cell stand one above the other."""


class Sheet:
    """Cells in rows, each with one sign and the name of a style."""

    def __init__(self, width: int, height: int, signs: Signs = FULL) -> None:
        self.width = width
        self.height = height
        self.signs = signs
        self._signs = [[" "] * width for _ in range(height)]
        self._styles = [[""] * width for _ in range(height)]

    def put(self, x: int, y: int, text: str, style: str = "") -> int:
        """Write text from a cell on, cut off at the edge; give the cell after it.

        What a terminal would obey is shown as a blank, whoever wrote it.
        """
        if not 0 <= y < self.height:
            return x + len(text)
        text = self._as_shown(text)
        if _is_narrow(text):
            return self._put_narrow(x, y, text, style)
        return self._put_wide(x, y, text, style)

    def _put_narrow(self, x: int, y: int, text: str, style: str) -> int:
        """Write text whose signs all take one cell."""
        left, right = max(0, x), min(self.width, x + len(text))
        if left < right:
            self._signs[y][left:right] = text[left - x : right - x]
            self._styles[y][left:right] = [style] * (right - left)
        return min(self.width, x + len(text))

    def _put_wide(self, x: int, y: int, text: str, style: str) -> int:
        """Write text sign by sign; a wide one takes two cells."""
        signs, styles = self._signs[y], self._styles[y]
        for sign in text:
            if not sign.isprintable():
                sign = " "  # noqa: PLW2901 - the harmless stand-in of the same sign
            width = 1 if sign.isascii() else cell_len(sign)
            if width == 0:
                continue
            if x + width > self.width:
                break
            if x >= 0:
                signs[x] = sign
                styles[x] = style
                for k in range(1, width):
                    signs[x + k] = ""
                    styles[x + k] = style
            x += width
        return x

    def put_right(self, x: int, y: int, text: str, style: str = "") -> int:
        """Write text so that it ends just before a cell; give its first cell."""
        text = self._as_shown(text)
        first = x - cell_len(text)
        self.put(first, y, text, style)
        return first

    def _as_shown(self, text: str) -> str:
        """Wait in three dots in plain signs: the one for them would say *about*."""
        return text.replace(" …", " ...") if self.signs.is_plain else text

    def put_centred(self, left: int, right: int, y: int, text: str, style: str) -> None:
        """Write text in the middle between two cells."""
        self.put(left + max(0, (right - left - cell_len(text)) // 2), y, text, style)

    def tint(self, x: int, y: int, width: int, height: int, style: str) -> None:
        """Give a rectangle of cells another style and leave its signs."""
        left, right = max(0, x), min(self.width, x + width)
        for row in range(max(0, y), min(self.height, y + height)):
            self._styles[row][left:right] = [style] * max(0, right - left)

    def fill(
        self, x: int, y: int, width: int, height: int, sign: str, style: str = ""
    ) -> None:
        """Fill a rectangle with one sign."""
        for row in range(y, y + height):
            self.put(x, row, sign * width, style)

    def put_pixels(
        self, x: int, y: int, rows: Iterable[str], style: str, *, scale: int = 1
    ) -> None:
        """Draw a shape given as rows of pixels, two to a cell's height.

        Anything but a blank or a dot is a filled pixel.
        """
        wide = [
            "".join(sign * scale for sign in row) for row in rows for _ in range(scale)
        ]
        if len(wide) % HALF:
            wide.append("")
        for k in range(0, len(wide), HALF):
            self._put_pixel_row(x, y + k // HALF, wide[k], wide[k + 1], style)

    def put_shape(
        self, x: int, y: int, rows: Iterable[str], style: str, *, scale: int = 1
    ) -> None:
        """Draw a shape given as rows of signs, each sign a cell; blanks stay free."""
        wide = ["".join(sign * scale for sign in row) for row in rows]
        for k, row in enumerate(row for row in wide for _ in range(scale)):
            for start, drawn in _inked(row):
                self.put(x + start, y + k, "#" * len(drawn), style)

    def _put_pixel_row(
        self, x: int, y: int, upper: str, lower: str, style: str
    ) -> None:
        """Draw one row of cells from two rows of pixels."""
        signs = self.signs
        both = (signs.lower_half, signs.upper_half, signs.blocks[-1])
        start, drawn = x, ""
        for k, (up, low) in enumerate(zip_longest(upper, lower, fillvalue=" ")):
            ink = (2 if up not in " ." else 0) + (1 if low not in " ." else 0)
            if ink:
                drawn += both[ink - 1]
            elif drawn:
                self.put(start, y, drawn, style)
                drawn = ""
            if not drawn:
                start = x + k + 1
        self.put(start, y, drawn, style)

    def paste(self, x: int, y: int, other: Sheet) -> None:
        """Copy another sheet into this one, cut off at the edges."""
        count = min(other.width, self.width - x)
        if count <= 0:
            return
        for row in range(other.height):
            to = y + row
            if not 0 <= to < self.height:
                continue
            self._signs[to][x : x + count] = other._signs[row][:count]
            self._styles[to][x : x + count] = other._styles[row][:count]

    def text(self, y: int) -> str:
        """Give the signs of a row."""
        return "".join(self._signs[y])

    def runs(self, y: int) -> list[tuple[str, str]]:
        """Give a row as stretches of one style, filled cells apart: (style, text)."""
        signs, first = self._signs[y], 0
        stretches: list[tuple[str, str]] = []
        for style, cells in groupby(self._styles[y]):
            after = first + sum(1 for _ in cells)
            text = "".join(signs[first:after])
            first = after
            if FILLED in text:
                stretches += [(style, part) for part in FILLS.split(text) if part]
            else:
                stretches.append((style, text))
        return stretches

    def changes_since(self, old: Sheet) -> list[Region]:
        """Give rectangles around all that changed, one for neighbouring rows."""
        regions: list[Region] = []
        for y in range(self.height):
            span = self.change_since(old, y)
            if span is None:
                continue
            row = Region(span[0], y, span[1] - span[0], 1)
            if regions and regions[-1].bottom == y:
                regions[-1] = regions[-1].union(row)
            else:
                regions.append(row)
        return regions

    def change_since(self, old: Sheet, y: int) -> tuple[int, int] | None:
        """Tell the first cell of a row that changed and the one after the last."""
        mine, theirs = self._signs[y], old._signs[y]
        my_styles, their_styles = self._styles[y], old._styles[y]
        if mine == theirs and my_styles == their_styles:
            return None
        differ = [
            x
            for x in range(self.width)
            if mine[x] != theirs[x] or my_styles[x] != their_styles[x]
        ]
        return differ[0], differ[-1] + 1


@lru_cache(maxsize=NARROW_WORDS)
def _is_narrow(text: str) -> bool:
    """Tell whether each sign of a text takes one cell, and none is obeyed."""
    return text.isprintable() and cell_len(text) == len(text)


def _inked(row: str) -> Iterator[tuple[int, str]]:
    """Give each run of signs that are drawn, and where it starts."""
    for found in re.finditer(r"[^ .]+", row):
        yield found.start(), found.group()


def cut(text: str, width: int) -> str:
    """Shorten text that is too wide for its place."""
    if cell_len(text) <= width:
        return text
    while text and cell_len(text) > width - 1:
        text = text[:-1]
    return text.rstrip() + "…" if width > 0 else ""
