"""The phrase, and how its cursor goes about in it."""

from __future__ import annotations

from collections.abc import Sequence

from coach.screens.phrase.phrase_moves import (
    bar_starts,
    breath_places,
    next_of,
    phrase_starts,
)
from coach.screens.phrase.phrase_view import PhraseView
from coach.screens.staff.staff_pages import StaffPages


class PhraseWalk(PhraseView):
    """A whole etude with its plan, to be walked through."""

    def action_note(self, steps: int) -> None:
        """Go on by notes."""
        self._go(self._cursor + steps)

    def action_line(self, lines: int) -> None:
        """Go down by lines."""
        self._go(self.query_one(StaffPages).note_by_lines(self._cursor, lines))

    def action_page(self, pages: int) -> None:
        """Go on by pages."""
        staff = self.query_one(StaffPages)
        self._go(staff.note_by_lines(self._cursor, pages * staff.lines_in_view))

    def _go_among(self, firsts: Sequence[int], steps: int) -> None:
        """Go to the next of some notes, or to the one before."""
        self._go(next_of(firsts, self._cursor, steps))

    def action_bar(self, steps: int) -> None:
        """Go to the first note of another bar."""
        if self._part is not None:
            self._go_among(bar_starts(self._part), steps)

    def action_breath(self, steps: int) -> None:
        """Go to another breath."""
        if self._plan is not None:
            self._go_among(breath_places(self._plan), steps)

    def action_phrase(self, steps: int) -> None:
        """Go to the start of another phrase, as a musician hears them."""
        if self._plan is not None:
            self._go_among(phrase_starts(self._plan), steps)
