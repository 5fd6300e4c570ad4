"""The phrase, and how its plan is changed: breaths, notes, positions."""

from __future__ import annotations

from collections.abc import Callable

from coach.planning.edits import Edits
from coach.screens.phrase import plan_edits
from coach.screens.phrase.phrase_changes import PhraseChanges

DIAL_STEP = 0.25

AFTER_LAST = "After the last note you may always breathe."


class PhraseEditing(PhraseChanges):
    """A whole etude with its plan, to be changed."""

    def _edit(self, edits: Edits) -> None:
        """Keep changed edits, say what is changed and plan anew."""
        conductor = self._conductor
        if conductor is None or edits == conductor.edits:
            return
        with self.noted() as said:
            conductor.set_edits(edits, is_laid=False)
        self._plan_later()
        self.tell(said())

    def _with_edits(self, change: Callable[[Edits, int], Edits]) -> None:
        """Change the edits at the note under the cursor."""
        if self._conductor is not None:
            self._edit(change(self._conductor.edits, self._cursor))

    def action_breathe(self) -> None:
        """Insist on a breath here."""
        if self._is_last():
            self.tell(AFTER_LAST)
        else:
            self._with_edits(plan_edits.breathe_after)

    def action_never(self) -> None:
        """Refuse a breath here."""
        self._with_edits(plan_edits.never_after)

    def _is_last(self) -> bool:
        return self._part is not None and self._cursor == len(self._part.notes) - 1

    def action_move(self) -> None:
        """Move the nearest breath to here."""
        self._have_plan()
        plan = self._plan
        if plan is None:
            return
        notes = [breath.after_note for breath in plan.breaths.breaths]
        if self._is_last():
            self.tell(AFTER_LAST)
        elif not notes:
            self.tell("There is no breath to move: b asks for one here.")
        elif self._cursor in notes:
            self.tell("That breath is here already.")
        else:
            nearest = min(notes, key=lambda note: abs(note - self._cursor))
            self._with_edits(
                lambda edits, note: plan_edits.move_breath(edits, nearest, note)
            )

    def action_leave_out(self) -> None:
        """Leave this note out to breathe."""
        if self._cursor == 0 or self._is_last():
            self.tell("The first and the last note are always played.")
        else:
            self._with_edits(plan_edits.leave_out)

    def action_keep(self) -> None:
        """Never leave this note out."""
        self._with_edits(plan_edits.keep)

    def action_every_note(self) -> None:
        """Let the plan leave out no note by itself."""
        self._with_edits(lambda edits, _: plan_edits.every_note(edits))

    def action_position(self, steps: int) -> None:
        """Play the note in another position."""
        self._have_plan()
        plan, part = self._plan, self._part
        if plan is None or part is None:
            return
        note = part.notes[self._cursor]
        ways = [way.label for way in self.studio.ways_to_play(note)]
        if not ways:
            where = f"cannot be played on the {plan.instrument.title}"
            name = self.signs.spell(str(note.written))
            self.tell(f"{name} {where}: o, O, t and T move all of it.")
            return
        if len(ways) == 1:
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
        if self._plan is not None and self._plan.instrument.kind == "breath-only":
            self.tell("No positions or valves are planned for this instrument.")
            return
        usual = self.studio.usual_dial()
        self._with_edits(
            lambda edits, _: plan_edits.turn_dial(edits, usual, steps * DIAL_STEP)
        )

    def action_dynamic(self, steps: float) -> None:
        """Play louder or softer."""
        self._with_edits(lambda edits, _: plan_edits.louder(edits, steps))
