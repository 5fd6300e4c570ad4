"""Etudes of the player's own on the shelf: renamed, thrown away, put back."""

from __future__ import annotations

from dataclasses import replace
from pathlib import PurePath
from typing import TYPE_CHECKING

from coach.errors import CoachError
from coach.screens.shelf.shelf_view import ShelfView

if TYPE_CHECKING:
    from coach.screens.shelf.shelf_needs import Etude

NEW_NAME = "new-name"
"""Names the line that asks for another name of an etude."""


class OwnShelf(ShelfView):
    """The shelf, with what can be done with etudes of the player's own."""

    def __init__(self) -> None:
        super().__init__()
        self._thrown_away: tuple[str, str] | None = None
        """Where the last one lies, and where it was."""

    def action_rename(self) -> None:
        """Ask for another name of the own etude that is chosen."""
        from coach.screens.widgets.ask_line import AskLine

        etude = self._own_etude("renamed")
        if etude is not None and not self.query(AskLine):
            name = PurePath(etude.path).stem
            ask = AskLine(f"another name for “{name}”", name)
            ask.id = NEW_NAME
            self.mount(ask, before="ShelfList")
            self.tell(f"Another name for “{etude.title}”? Type it.")

    def on_ask_line_put_away(self) -> None:
        """Say no longer what was to be typed."""
        self.tell("")

    def _rename(self, name: str) -> None:
        """Give the etude that is chosen another name."""
        etude = self._shown[self._chosen]
        if not name or name == PurePath(etude.path).stem:
            self.tell("")
            return
        try:
            path = self.studio.rename_etude(etude, name)
        except CoachError as error:
            self.tell_error(error)
            return
        kept = f" Its title stays “{etude.title}”: its runs are kept under it."
        self.tell(f"It is now “{name}”.{kept if etude.last_run is not None else ''}")
        self._shown = [replace(etude, path=path)]
        self.choose(0)
        self.read_shelf()

    def action_throw_away(self) -> None:
        """Ask whether the own etude that is chosen is to be thrown away."""
        from coach.screens.choose_screen import ChooseScreen

        etude = self._own_etude("thrown away")
        if etude is None:
            return

        def chosen(index: int | None) -> None:
            if index == 1:
                self._throw_away(etude)

        question = f"throw “{etude.title}” away?"
        answers = ["keep it", "throw it away; its runs stay in the log, u puts it back"]
        self.app.push_screen(ChooseScreen(question, answers), chosen)

    def _throw_away(self, etude: Etude) -> None:
        """Take an etude off the shelf."""
        try:
            kept = self.studio.throw_away(etude.path)
        except CoachError as error:
            self.tell_error(error)
            return
        self._thrown_away = (kept, etude.path)
        self.tell(f"u puts “{etude.title}” back; it lies in {kept}.")
        self.read_shelf()

    def action_put_back(self) -> None:
        """Put back what was thrown away last."""
        if self._thrown_away is None:
            self.tell("Nothing was thrown away.")
            return
        try:
            self.studio.put_back(*self._thrown_away)
        except CoachError as error:
            self.tell_error(error)
            return
        self._thrown_away = None
        self.tell("It is on the shelf again.")
        self.read_shelf()

    def _own_etude(self, done: str) -> Etude | None:
        """Give the etude that is chosen if it is the player's own; else say so."""
        if not self._shown:
            self.tell_empty()
            return None
        etude = self._shown[self._chosen]
        if not etude.is_shipped:
            return etude
        self.tell(f"Only an etude of your own can be {done}.", is_wrong=True)
        return None
