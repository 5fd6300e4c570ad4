"""One number, big, with a word beside it."""

from __future__ import annotations

from typing import ClassVar

from coach.screens.widgets.big_type import (
    set_figures,
    set_letters,
    set_plain_letters,
    width_of,
)
from coach.screens.widgets.picture import Picture
from coach.screens.widgets.sheet import Sheet

FIGURE_ROWS = 5


class BigFigure(Picture):
    """A number to see from afar; empty until there is one."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"figure--number", "figure--word"}

    _number = ""
    _word = ""

    def show_figure(self, number: str, word: str) -> None:
        """Show a number and a word."""
        if (number, word) != (self._number, self._word):
            self._number, self._word = number, word
            self.redraw()

    def draw(self, sheet: Sheet) -> None:
        """Draw the number as big as the room allows."""
        if not self._number:
            return
        is_big = sheet.height >= FIGURE_ROWS
        if self.signs.is_plain:
            self._draw_plain(sheet, is_big=is_big)
            return
        shape = set_figures(self._number) if is_big else set_letters(self._number)
        sheet.put_pixels(2, 0, shape, "figure--number")
        row = min(sheet.height, FIGURE_ROWS if is_big else 3) - 1
        sheet.put(4 + width_of(shape), row, self._word, "figure--word")

    def _draw_plain(self, sheet: Sheet, *, is_big: bool) -> None:
        """Draw it in whole signs, or write it."""
        if not is_big:
            x = sheet.put(2, 0, f"{self._number} ", "figure--number")
            sheet.put(x, 0, self._word, "figure--word")
            return
        shape = set_plain_letters(self._number)
        sheet.put_shape(2, 0, shape, "figure--number")
        sheet.put(4 + width_of(shape), FIGURE_ROWS - 1, self._word, "figure--word")
