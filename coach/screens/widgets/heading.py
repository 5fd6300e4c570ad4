"""The top row of a screen: where one is, and what stands behind it."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.cells import cell_len

from coach.screens.widgets.picture import Picture
from coach.screens.widgets.sheet import Sheet, cut


class Heading(Picture):
    """A title at the left, a few words at the right."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {"heading--title", "heading--words"}

    _title = ""
    _words = ""
    _extras: tuple[str, ...] = ()

    def show_heading(
        self, title: str, words: str = "", extras: Sequence[str] = ()
    ) -> None:
        """Show a title and what stands at the right.

        Parameters
        ----------
        extras : sequence of str
            Stand before the words as long as there is room; the first give way first.
        """
        if (title, words, tuple(extras)) != (self._title, self._words, self._extras):
            self._title, self._words, self._extras = title, words, tuple(extras)
            self.redraw()

    def draw(self, sheet: Sheet) -> None:
        """Draw both; the words give way where there is no room, extras before them."""
        bullet = f" {self.signs.bullet} "
        least = min(cell_len(self._title), sheet.width // 3)
        for k in range(len(self._extras) + 1):
            words = bullet.join([*self._extras[k:], self._words])
            room = sheet.width - cell_len(words) - 3
            if room >= least:
                break
        else:
            words, room = "", sheet.width - 1
        sheet.put(1, 0, cut(self._title, room), "heading--title")
        sheet.put_right(sheet.width - 1, 0, words, "heading--words")
