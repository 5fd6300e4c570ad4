"""The bar that sounds now, in figures to see from afar."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from coach.screens.widgets.big_type import (
    Shape,
    set_figures,
    set_letters,
    set_plain_figures,
    width_of,
)
from coach.screens.widgets.picture import Picture
from coach.screens.widgets.sheet import Sheet

FIGURE_ROWS = 5
LETTER_ROWS = 3


class BarNumber(Picture):
    """Bar, how many there are, and the beat."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"bar--figure", "bar--say"}

    _bar = 0
    _last = 0
    _beat = ""

    def show_bar(self, bar: int, last: int, beat: str) -> None:
        """Show a bar's number, the last bar's, and the beat."""
        if (bar, last, beat) != (self._bar, self._last, self._beat):
            self._bar, self._last, self._beat = bar, last, beat
            self.redraw()

    def _say(self, width: int) -> str:
        """Say what fits under the figures."""
        both = f"of {self._last} {self.signs.bullet} {self._beat}"
        return both if len(both) <= width else self._beat

    def _as_large_as_all(
        self, setting: Callable[[str], Shape], width: int, rows: int
    ) -> tuple[Shape, int]:
        """Set the bar's number at a scale at which the last one fits too."""
        widest = width_of(setting(str(max(self._bar, self._last))))
        scale = max(1, min(width // max(1, widest), rows // FIGURE_ROWS))
        return setting(str(self._bar)), scale

    def draw(self, sheet: Sheet) -> None:
        """Draw the figures at the right edge and, if there is room, a line under."""
        rows, is_plain = sheet.height - 1, self.signs.is_plain
        if sheet.height < LETTER_ROWS or (is_plain and rows < FIGURE_ROWS):
            sheet.put_right(sheet.width, 0, f"bar {self._bar}", "bar--figure")
            sheet.put_right(sheet.width, 1, self._say(sheet.width), "bar--say")
            return
        if is_plain:
            shape, scale = self._as_large_as_all(set_plain_figures, sheet.width, rows)
            x = max(0, sheet.width - scale * width_of(shape))
            sheet.put_shape(x, 0, shape, "bar--figure", scale=scale)
        else:
            widest = width_of(set_figures(str(max(self._bar, self._last))))
            is_big = rows >= FIGURE_ROWS and widest <= sheet.width
            setting = set_figures if is_big else set_letters
            shape, scale = self._as_large_as_all(setting, sheet.width, rows)
            x = max(0, sheet.width - scale * width_of(shape))
            sheet.put_pixels(x, 0, shape, "bar--figure", scale=scale)
        if rows >= LETTER_ROWS:
            sheet.put_right(sheet.width, rows, self._say(sheet.width), "bar--say")
