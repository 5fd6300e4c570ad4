"""The phrase: what each key does with an etude and its plan."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding

from coach.errors import CoachError
from coach.planning.edits import Edits
from coach.screens.coach_screen import PRACTICE_CSS
from coach.screens.phrase import plan_edits
from coach.screens.phrase.edit_history import EditHistory
from coach.screens.phrase.phrase_keys import PHRASE_KEYS
from coach.screens.phrase.phrase_walk import PhraseWalk
from coach.screens.run.next_wishes import room

if TYPE_CHECKING:
    from coach.rehearsal.gear.gear import Fact
    from coach.score.phrase import Part

DIAL_STEP = 0.25


class PhraseScreen(PhraseWalk):
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
        self._history = EditHistory()

    def show_part(self, part: Part) -> None:
        """Show a part and its plan; where it is asked for, go and play."""
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

    def _edit(self, edits: Edits) -> None:
        """Keep changed edits and plan anew."""
        conductor = self._conductor
        if conductor is None or edits == conductor.edits:
            return
        self._history.add(conductor.edits)
        self._keep(edits)

    def _keep(self, edits: Edits) -> None:
        if self._conductor is None:
            return
        self.tell("")
        try:
            self._conductor.set_edits(edits)
        except CoachError as error:
            self.tell_error(error)
            return
        self._make_plan()

    def _with_edits(self, change: Callable[[Edits, int], Edits]) -> None:
        """Change the edits at the note under the cursor."""
        if self._conductor is not None:
            self._edit(change(self._conductor.edits, self._cursor))

    def action_transpose(self, semitones: int) -> None:
        """Move all of it; it keeps its own edits in each octave and key."""
        if self._part is not None:
            self._history = EditHistory()
            self.move_part(semitones)

    def action_breathe(self) -> None:
        """Insist on a breath here."""
        if self._is_last():
            self.tell("After the last note you may always breathe.")
        else:
            self._with_edits(plan_edits.breathe_after)

    def action_never(self) -> None:
        """Refuse a breath here."""
        self._with_edits(plan_edits.never_after)

    def _is_last(self) -> bool:
        return self._part is not None and self._cursor == len(self._part.notes) - 1

    def action_move(self) -> None:
        """Move the nearest breath to here."""
        plan = self._plan
        if plan is None or not plan.breaths.breaths or self._is_last():
            return
        nearest = min(
            (breath.after_note for breath in plan.breaths.breaths),
            key=lambda note: abs(note - self._cursor),
        )
        self._with_edits(
            lambda edits, note: plan_edits.move_breath(edits, nearest, note)
        )

    def action_room(self) -> None:
        """Rehearse with a beat of rest at each breath, with half of one, or in time."""
        if self._conductor is None:
            return
        asked = room(self._conductor.wishes)
        try:
            self._conductor.set_wishes(asked.wishes)
        except CoachError as error:
            self.tell_error(error)
            return
        self._show_cursor()
        self.tell(f"Rehearse it: {asked.words}.")

    def action_position(self, steps: int) -> None:
        """Play the note in another position."""
        plan, part = self._plan, self._part
        if plan is None or part is None:
            return
        ways = [way.label for way in self.studio.ways_to_play(part.notes[self._cursor])]
        if len(ways) < 2:  # noqa: PLR2004 - one way leaves no choice
            self.tell("There is no other way to play this note.")
            return
        now = plan.slide.placements[self._cursor].label
        at = ways.index(now) if now in ways else 0
        label = ways[(at + steps) % len(ways)]
        self._with_edits(
            lambda edits, note: plan_edits.choose_position(edits, note, label)
        )

    def action_clear_here(self) -> None:
        """Leave this note to the plan."""
        self._with_edits(plan_edits.leave_to_plan)

    def action_clear_all(self) -> None:
        """Leave everything to the plan."""
        self._edit(Edits())

    def action_dial(self, steps: int) -> None:
        """Turn the dial of alternates."""
        usual = self.studio.usual_dial()
        self._with_edits(
            lambda edits, _: plan_edits.turn_dial(edits, usual, steps * DIAL_STEP)
        )

    def action_dynamic(self, steps: int) -> None:
        """Play louder or softer."""
        self._with_edits(lambda edits, _: plan_edits.louder(edits, steps))

    def action_undo(self) -> None:
        """Undo the last change."""
        self._go_in_history(self._history.undo, "nothing to undo")

    def action_redo(self) -> None:
        """Do again what was undone."""
        self._go_in_history(self._history.redo, "nothing to do again")

    def _go_in_history(self, go: Callable[[Edits], Edits | None], none: str) -> None:
        if self._conductor is None:
            return
        edits = go(self._conductor.edits)
        if edits is None:
            self.tell(none)
        else:
            self._keep(edits)

    def action_tempo(self, notches: int) -> None:
        """Change the tempo and plan anew."""
        if self._conductor is not None:
            self._conductor.step_tempo(notches)
            self._make_plan()

    def action_segment_from(self) -> None:
        """Begin the segment at this bar."""
        if self._part is not None:
            bar = self._part.notes[self._cursor].bar
            last = self._segment[1] if self._segment else self._part.bars[-1].number
            self._segment = (bar, max(bar, last))
            self._show_cursor()

    def action_segment_to(self) -> None:
        """End the segment with this bar."""
        if self._part is not None:
            bar = self._part.notes[self._cursor].bar
            first = self._segment[0] if self._segment else self._part.bars[0].number
            self._segment = (min(first, bar), bar)
            self._show_cursor()

    def action_whole(self) -> None:
        """Choose all of it."""
        self._segment = None
        self._show_cursor()

    def action_rehearse(self) -> None:
        """Go and play."""
        conductor, part = self._conductor, self._part
        if conductor is None or part is None:
            return
        from coach.screens.run.run_screen import RunScreen

        first, last = self._segment or (part.bars[0].number, part.bars[-1].number)
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
        self.app.push_screen(RunScreen(conductor))

    def action_compare(self) -> None:
        """Show the same tongued throughout, or the plan again."""
        if self._plan is None:
            return
        if self._tongued is not None:
            self._tongued = None
            self._show_plan(self._plan)
        else:
            self.compare(self._plan)

    def action_reach(self) -> None:
        """Show at which tempos it works."""
        if self._part is None or self._conductor is None:
            return
        from coach.screens.phrase.reach_screen import ReachScreen

        self.app.push_screen(ReachScreen(self._part, self._conductor))

    def action_log(self) -> None:
        """Show the runs of this etude."""
        from coach.screens.shelf.log_screen import LogScreen

        self.app.push_screen(LogScreen(self._part))

    def action_back(self) -> None:
        """Back to the shelf."""
        self.dismiss(None)
