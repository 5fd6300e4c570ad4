"""The top row of a screen: where one is, and what stands behind it."""

from __future__ import annotations

from typing import ClassVar

from rich.cells import cell_len

from coach.screens.widgets.picture import Picture
from coach.screens.widgets.sheet import Sheet, cut


class Heading(Picture):
    """A title at the left, a few words at the right."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"heading--title", "heading--words"}

    _title = ""
    _words = ""

    def show_heading(self, title: str, words: str = "") -> None:
        """Show a title and what stands at the right."""
        if (title, words) != (self._title, self._words):
            self._title, self._words = title, words
            self.redraw()

    def draw(self, sheet: Sheet) -> None:
        """Draw both; the words give way where there is no room."""
        words = self._words
        room = sheet.width - cell_len(words) - 3
        if room < min(cell_len(self._title), sheet.width // 3):
            words, room = "", sheet.width - 1
        sheet.put(1, 0, cut(self._title, room), "heading--title")
        sheet.put_right(sheet.width - 1, 0, words, "heading--words")
