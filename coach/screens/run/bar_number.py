"""The bar that sounds now, in figures to see from afar."""

from __future__ import annotations

from typing import ClassVar

from coach.screens.widgets.big_type import set_figures, set_letters, width_of
from coach.screens.widgets.picture import Picture, Sheet

FIGURE_ROWS = 5
LETTER_ROWS = 3
BIG = 2
"""Scale of the figures where there is room."""


class BarNumber(Picture):
    """Bar, how many there are, and the beat."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"bar--figure", "bar--say"}

    _bar = 0
    _of = ""
    _beat = ""

    def show_bar(self, bar: int, of: str, beat: str) -> None:
        """Show a bar's number, of how many, and the beat."""
        if (bar, of, beat) != (self._bar, self._of, self._beat):
            self._bar, self._of, self._beat = bar, of, beat
            self.redraw()

    def _say(self, width: int) -> str:
        """Say what fits under the figures."""
        both = f"bar {self._of} {self.signs.bullet} {self._beat}"
        return both if len(both) <= width else self._beat

    def draw(self, sheet: Sheet) -> None:
        """Draw the figures at the right edge and, if there is room, a line under."""
        text = str(self._bar)
        if sheet.height < LETTER_ROWS:
            sheet.put_right(sheet.width, 0, f"bar {text}", "bar--figure")
            return
        rows = sheet.height - 1
        shape, scale = set_letters(text), 1
        if rows >= FIGURE_ROWS:
            shape = set_figures(text)
            is_big = rows >= BIG * FIGURE_ROWS and BIG * width_of(shape) <= sheet.width
            scale = BIG if is_big else 1
        x = max(0, sheet.width - scale * width_of(shape))
        sheet.put_pixels(x, 0, shape, "bar--figure", scale=scale)
        if rows >= LETTER_ROWS:
            sheet.put_right(sheet.width, rows, self._say(sheet.width), "bar--say")
