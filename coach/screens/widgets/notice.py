"""A line for the player that stands until the next one; no room when empty."""

from __future__ import annotations

from textwrap import wrap
from typing import ClassVar

from coach.screens.widgets.picture import Picture
from coach.screens.widgets.sheet import Sheet

LEAST_ROWS = 3
"""So many there may be on the lowest screen."""


class Notice(Picture):
    """Words above the keys, wrapped; they may take half of the screen."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"notice--word", "notice--wrong"}

    _words = ""
    _is_wrong = False

    def show_words(self, words: str, *, is_wrong: bool = False) -> None:
        """Show words, or nothing."""
        if (words, is_wrong) == (self._words, self._is_wrong):
            return
        self._words, self._is_wrong = words, is_wrong
        self.styles.height = self.rows
        self._sheet = None
        self.refresh(layout=True)

    @property
    def words(self) -> str:
        """What is shown."""
        return self._words

    @property
    def rows(self) -> int:
        """How many rows the words take."""
        return len(self._lines(self.screen.size.width))

    def _lines(self, width: int) -> list[str]:
        most = max(LEAST_ROWS, self.screen.size.height // 2)
        return wrap(self._words, max(1, width - 4))[:most]

    def draw(self, sheet: Sheet) -> None:
        """Draw the words; what is wrong has a sign before it."""
        style = "notice--wrong" if self._is_wrong else "notice--word"
        for y, line in enumerate(self._lines(sheet.width)):
            if self._is_wrong and y == 0:
                sheet.put(0, y, "!", style)
            sheet.put(2, y, line, style)
