"""The phrase: what each key does with an etude and its plan."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding

from coach.errors import CoachError
from coach.score.page_facts import span_of
from coach.screens.coach_screen import PRACTICE_CSS
from coach.screens.phrase.phrase_editing import PhraseEditing
from coach.screens.phrase.phrase_keys import PHRASE_KEYS
from coach.screens.phrase.plan_words import can_be_tried
from coach.screens.run.next_wishes import room
from coach.screens.widgets.notice import Notice

if TYPE_CHECKING:
    from coach.planning.plan import Plan
    from coach.rehearsal.gear.gear import Fact
    from coach.score.phrase import Part

LOOKING = "Still looking for what gets you through: it will stand above the staff."

WHILE_READING = ("rehearse", "back")
"""What keys do that need no part yet."""

WITH_PART = {key.action.partition("(")[0] for key in PHRASE_KEYS} - {*WHILE_READING}
"""What keys do to a part, or in it."""

TOO_EARLY = "Not yet: it is still being read."


class PhraseScreen(PhraseEditing):
    """A whole etude with its plan, to be changed and rehearsed.

    Parameters
    ----------
    path, title, part_name
        As of the view.
    plays_at_once : bool
        Go on to the rehearsal as soon as it is read.
    """

    CSS_PATH = PRACTICE_CSS
    ABOUT = "The phrase: see where the air goes and change the plan."
    KEYS: ClassVar[Sequence[Binding]] = PHRASE_KEYS

    def __init__(
        self,
        path: str,
        *,
        title: str = "",
        part_name: str | None = None,
        plays_at_once: bool = False,
    ) -> None:
        super().__init__(path, title=title, part_name=part_name)
        self._plays_at_once = plays_at_once

    @property
    def keys_now(self) -> Sequence[Binding]:
        """Those of the keys that do something: few, until there is a part."""
        if self._part is not None:
            return self.KEYS
        return [key for key in self.KEYS if key.action in WHILE_READING]

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Say of a key that came before the part that it does nothing yet."""
        stands = super().check_action(action, parameters)
        if stands and self._part is None and action in WITH_PART:
            self.tell(TOO_EARLY)
            return False
        return stands

    def show_part(self, part: Part) -> None:
        """Show a part and its plan; where it is asked for, go and play."""
        if self.query_one(Notice).words == TOO_EARLY:
            self.tell("")
        super().show_part(part)
        if self._plays_at_once:
            self._plays_at_once = False
            self.action_rehearse()

    def take_fact(self, fact: Fact) -> None:
        """Let a pedal begin the rehearsal."""
        from coach.rehearsal.gear.gear import PedalPressed

        if isinstance(fact, PedalPressed) and fact.action == "start-stop":
            self.action_rehearse()
        else:
            self.show_lost_gear(fact)

    def action_room(self) -> None:
        """Rehearse with a beat of rest at each breath, with half of one, or in time."""
        if self._conductor is None:
            return
        asked = room(self._conductor.wishes)
        try:
            with self.noted():
                self._conductor.set_wishes(asked.wishes)
            self._opening = self._conductor.opening()
        except CoachError as error:
            self.tell_error(error)
            return
        self._show_cursor()
        self.tell(f"Rehearse it: {asked.words}.")

    def action_try(self, number: int) -> None:
        """Try a way out: another tempo, fewer notes, or all of it softer."""
        self._have_plan()
        conductor = self._conductor
        if conductor is None or number > len(self._ways_out):
            no_such = "There is no such way out to try."
            self.tell(LOOKING if self.is_looking else no_such)
            return
        way = self._ways_out[number - 1]
        if not can_be_tried(way):
            self.tell(f"No key can try this: {way}.")
        elif way.do == "tempo":
            with self.noted():
                conductor.set_tempo(way.amount, is_laid=False)
            self._plan_later()
        elif way.do == "leave_out":
            self.action_every_note()
        else:
            self.action_dynamic(-way.amount)

    def show_told(self, told: Plan) -> None:
        """Show what is told by now; that it was looked for is true no longer."""
        super().show_told(told)
        if self.query_one(Notice).words == LOOKING:
            self.tell("")

    def action_tempo(self, notches: int) -> None:
        """Change the tempo and plan anew."""
        if self._conductor is not None:
            with self.noted():
                self._conductor.step_tempo(notches, is_laid=False)
            self._plan_later()

    def action_segment_from(self) -> None:
        """Begin the segment at this bar."""
        if self._part is not None:
            bar = self._part.notes[self._cursor].bar
            last = (self._segment or span_of(self._part))[1]
            with self.noted():
                self._segment = (bar, max(bar, last))
            self._show_cursor()

    def action_segment_to(self) -> None:
        """End the segment with this bar."""
        if self._part is not None:
            bar = self._part.notes[self._cursor].bar
            first = (self._segment or span_of(self._part))[0]
            with self.noted():
                self._segment = (min(first, bar), bar)
            self._show_cursor()

    def action_whole(self) -> None:
        """Choose all of it."""
        with self.noted():
            self._segment = None
        self._show_cursor()

    def action_rehearse(self) -> None:
        """Go and play."""
        self._have_plan()
        conductor, part = self._conductor, self._part
        if conductor is None or part is None:
            self._plays_at_once = True
            return
        from coach.screens.run.run_screen import RunScreen

        first, last = self._segment or span_of(part)
        wishes = conductor.wishes
        if self._segment is not None and (wishes.from_bar, wishes.to_bar) != (
            first,
            last,
        ):
            try:
                conductor.set_segment(first, last)
            except CoachError as error:
                self.tell_error(error)
                return
        try:
            conductor.begin_as_advised()
        except CoachError as error:
            self.tell_error(error)
            return
        self._has_played = True
        self.app.push_screen(RunScreen(conductor))

    def action_compare(self) -> None:
        """Show the same tongued throughout, or the plan again."""
        self._have_plan()
        if self._plan is None:
            return
        if self._tongued is not None:
            self._tongued = None
            self.show_plan(self._plan)
        else:
            self.compare(self._plan)

    def action_mark_part(self) -> None:
        """Write the marked part for the stand."""
        self._have_plan()
        if self._plan is not None:
            self.tell("The part is being marked …")
            self.mark_part(self._plan)

    def action_reach(self) -> None:
        """Show at which tempos it works."""
        if self._part is None or self._conductor is None:
            return
        from coach.screens.phrase.reach_screen import ReachScreen

        self.app.push_screen(
            ReachScreen(self._part, self._conductor, self.dry_lines(has_keys=False))
        )

    def action_log(self) -> None:
        """Show the runs of this etude."""
        from coach.screens.shelf.log_screen import LogScreen

        self.app.push_screen(LogScreen(self._part))

    def action_back(self) -> None:
        """Back to the shelf, whatever is still being read."""
        self._stop_reading()
        self.dismiss(None)
