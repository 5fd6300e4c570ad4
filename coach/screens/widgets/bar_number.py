"""The bar that sounds now, in figures to see from afar."""

from __future__ import annotations

from typing import ClassVar

from coach.screens.widgets.big_type import set_figures, set_letters, width_of
from coach.screens.widgets.picture import Picture, Sheet

FIGURE_ROWS = 5
LETTER_ROWS = 3


class BarNumber(Picture):
    """Bar, how many there are, and the beat."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"bar--figure", "bar--say"}

    _bar = 0
    _say = ""

    def show_bar(self, bar: int, say: str) -> None:
        """Show a bar's number and a line under it."""
        if (bar, say) != (self._bar, self._say):
            self._bar, self._say = bar, say
            self.redraw()

    def draw(self, sheet: Sheet) -> None:
        """Draw the figures at the right edge and the line under them."""
        rows = sheet.height - 1
        text = str(self._bar)
        if rows >= FIGURE_ROWS:
            shape = set_figures(text)
            big = 2 * FIGURE_ROWS
            scale = 2 if rows >= big and 2 * width_of(shape) <= sheet.width else 1
        else:
            shape, scale = set_letters(text), 1
        if rows >= LETTER_ROWS:
            x = max(0, sheet.width - scale * width_of(shape))
            sheet.put_pixels(x, 0, shape, "bar--figure", scale=scale)
            sheet.put_right(sheet.width, sheet.height - 1, self._say, "bar--say")
        else:
            sheet.put_right(sheet.width, 0, f"bar {text}", "bar--figure")
            if sheet.height > 1:
                sheet.put_right(sheet.width, 1, self._say, "bar--say")
