"""The phrase, and the way back: every change is noted, undone and done again."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING

from textual import work
from textual.worker import get_current_worker

from coach.errors import CoachError
from coach.screens.phrase.change_history import (
    Asked,
    Change,
    ChangeHistory,
    say_asked,
)
from coach.screens.phrase.phrase_walk import PhraseWalk

if TYPE_CHECKING:
    from coach.score.phrase import Part

AS_WRITTEN = "As it is written."


class PhraseChanges(PhraseWalk):
    """A whole etude with its plan, of which no change is lost."""

    def __init__(
        self,
        path: str,
        *,
        title: str = "",
        part_name: str | None = None,
    ) -> None:
        super().__init__(path, title=title, part_name=part_name)
        self._history = ChangeHistory()

    @property
    def _asked(self) -> Asked | None:
        """What is asked for now; None before there is a part."""
        part, conductor = self._part, self._conductor
        if part is None or conductor is None:
            return None
        wishes = conductor.wishes
        return Asked(
            conductor.edits,
            wishes.bpm,
            wishes.room_beats,
            self._segment,
            part.moved_semitones,
            wishes.is_open,
        )

    @contextmanager
    def noted(self) -> Iterator[Callable[[], str]]:
        """Note what is asked for within, to be undone; give what says it after."""
        before = self._asked
        yield lambda: self._say((before, self._asked))
        after = self._asked
        if before is not None and after is not None:
            self._history.add(before, after)

    def _say(self, change: tuple[Asked | None, Asked | None], done: str = "") -> str:
        """Say what was changed, in a sentence."""
        before, after = change
        if before is None or after is None or self._part is None:
            return ""
        words = done + say_asked(before, after, self._part)
        return f"{words[0].upper()}{words[1:]}."

    def action_transpose(self, semitones: int) -> None:
        """Move all of it; it keeps its own edits in each octave and key."""
        if self._part is not None:
            self._move_part(semitones)

    @work(thread=True, exclusive=True, group="part")
    def _move_part(self, semitones: int, done: str = "") -> None:
        """Read the part anew, so many semitones higher; keep it so.

        `done` says what is undone by that; empty for a change of its own.
        """
        worker = get_current_worker()
        try:
            part = self.studio.move_further(self._path, self._part_name, semitones)
        except CoachError as error:
            if not worker.is_cancelled:
                self.call_later(self.tell_error, error)
            return
        if not worker.is_cancelled:
            self.call_later(self._show_moved, part, done)

    def _show_moved(self, part: Part, done: str) -> None:
        """Show the part in another octave or key, at the tempo that is asked for.

        What the player insists on there was kept with it.
        """
        conductor = self._conductor
        if conductor is None:
            return
        self.keep_changes()
        try:
            moved = self.studio.rehearse(part, conductor.wishes)
        except CoachError as error:
            self.tell_error(error)
            return
        if done:
            self._put_up(part, moved)
        else:
            with self.noted():
                self._put_up(part, moved)
        words = (done, "" if part.moved_semitones else AS_WRITTEN, *part.remarks)
        self.tell(" ".join(filter(None, words)), stays=bool(part.remarks))
        self._make_plan()

    def _ask(self, goal: Asked) -> None:
        """Ask for all of it as it was."""
        conductor = self._conductor
        if conductor is None:
            return
        self._segment = goal.bars
        wishes = replace(
            conductor.wishes,
            bpm=goal.bpm,
            room_beats=goal.room_beats,
            is_open=goal.is_open,
        )
        is_opened = wishes.is_open != conductor.wishes.is_open
        conductor.wish_as_before(wishes)
        if is_opened:
            self._opening = conductor.opening()
        if goal.edits != conductor.edits:
            conductor.set_edits(goal.edits, is_laid=False)

    def action_undo(self) -> None:
        """Undo the last change."""
        self._go_in_history(self._history.undo, "undone: ", "nothing to undo")

    def action_redo(self) -> None:
        """Do again what was undone."""
        self._go_in_history(self._history.redo, "done again: ", "nothing to do again")

    def _go_in_history(
        self,
        go: Callable[[Asked], tuple[Asked, Change] | None],
        done: str,
        none: str,
    ) -> None:
        """Go a step back or forth, and say which."""
        now = self._asked
        if now is None:
            return
        found = go(now)
        if found is None:
            self.tell(none)
            return
        goal, change = found
        said = self._say(change, done)
        if goal.semitones != now.semitones:
            self._move_part(goal.semitones - now.semitones, said)
            return
        self._ask(goal)
        self._plan_later()
        self.tell(said)
