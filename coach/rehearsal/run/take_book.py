"""What is heard of the runs of a rehearsal, and which marks are proposed for them.

A proposed mark counts for nothing until the player accepts it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from coach.planning.plan import Plan
from coach.rehearsal.click.clicks import ClickTrack
from coach.rehearsal.gear.gear import RunHeard
from coach.rehearsal.gear.listener import Listener
from coach.rehearsal.hearing.due_part import DuePart, due_part
from coach.rehearsal.hearing.following.told import StartWish
from coach.rehearsal.hearing.heard import Heard, Refused
from coach.rehearsal.hearing.heard_marks import heard_marks
from coach.rehearsal.hearing.heard_sound import sounded_notes
from coach.rehearsal.hearing.heard_words import (
    say_doubts,
    say_evenness,
    say_found,
    say_refused,
)
from coach.rehearsal.hearing.taken_clicks import taken_clicks
from coach.rehearsal.hearing.telling_settings import TellingSettings
from coach.rehearsal.run.evidence import SoundedNote
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.under_way import UnderWay
from coach.score.tempo import Seconds

LISTENING = "Listening to the run …"
"""Said until the ear has an answer."""

SAME_BEATS = 1.0
"""A mark of the player's within this of a proposed one says the same: a key comes
when it comes."""


class TakeBook:
    """Has runs heard, and keeps what is said of each until it is finished."""

    def __init__(self, ear: Listener, settings: TellingSettings) -> None:
        self._ear = ear
        self._settings = settings
        self._taking: int | None = None
        self._page: tuple[float, ...] = ()
        self._plans: dict[int, Plan] = {}
        self._said: dict[int, RunHeard] = {}
        self._proposed: dict[int, tuple[Mark, ...]] = {}
        self.is_playing = False
        """The sound of a run is being played."""
        self.is_deaf = False
        """The microphone is wanted and brings nothing, as the gear has told."""

    def open(self) -> None:
        """Open the microphone."""
        self.is_deaf = False
        self._ear.open()

    def await_start(self, wish: StartWish) -> None:
        """Wish for a sound that begins a run."""
        self._ear.await_start(wish)

    def pass_over(self) -> None:
        """Take nothing for a start that is heard just now."""
        self._ear.pass_over()

    def close(self) -> None:
        """Let the microphone go, and forget a take that is being made."""
        self.hush()
        self._taking = None
        self._ear.close()

    def begin(self, run_id: int, plan: Plan, *, is_followed: bool) -> None:
        """Take a run from here on, and follow it while it plays, if wished for."""
        due = due_part(plan)
        self.is_deaf = False  # it is tried anew, and what fails is told again
        self._taking, self._page = run_id, tuple(note.loud for note in due.notes)
        self._ear.begin(run_id, due, is_followed=is_followed)

    def change(self, run_id: int, plan: Plan) -> None:
        """Follow another plan of the run that is taken."""
        if self._taking == run_id:
            self._ear.change(self._due(plan))

    def drop(self) -> None:
        """Forget the take that is being made."""
        self._taking = None
        self._ear.drop()

    def end(self, run: UnderWay, plan: Plan, track: ClickTrack) -> None:
        """Have the take of a run heard, if there is one."""
        if self._taking != run.id or run.ended is None:
            return
        self._taking = None
        self._plans[run.id] = plan
        self._ear.hear(run.id, self._due(plan), taken_clicks(track), run.ended)

    def _due(self, plan: Plan) -> DuePart:
        """Tell what is due by another plan of the run, as loud as on the page.

        A plan may have become as loud as the player was heard to be.
        """
        due = due_part(plan)
        notes = zip(due.notes, self._page, strict=True)
        return replace(
            due, notes=tuple(replace(note, loud=loud) for note, loud in notes)
        )

    def take(self, fact: RunHeard) -> None:
        """Take what was heard of a run, and propose marks for it."""
        plan = self._plans.get(fact.run_id)
        if plan is None:
            return
        self._said[fact.run_id] = fact
        if isinstance(fact.said, Heard):
            marks = heard_marks(plan, fact.said, self._settings)
            self._proposed[fact.run_id] = marks

    def proposed(self, run_id: int, marks: Sequence[Mark]) -> tuple[Mark, ...]:
        """List what is proposed for a run and not among its marks."""
        return tuple(
            mark
            for mark in self._proposed.get(run_id, ())
            if not any(_says_the_same(mark, other) for other in marks)
        )

    def wave_off(self, run_id: int, marks: Sequence[Mark]) -> None:
        """Propose some marks no more."""
        left = self._proposed.get(run_id, ())
        self._proposed[run_id] = tuple(mark for mark in left if mark not in marks)

    def says(self, run_id: int) -> tuple[str, ...]:
        """Say in lines what was heard of a run; nothing where nobody listened."""
        plan, fact = self._plans.get(run_id), self._said.get(run_id)
        if plan is None:
            return ()
        if fact is None:
            return (LISTENING,)
        if isinstance(fact.said, Refused):
            why, mend = say_refused(fact.said)
            return (f"The run cannot be judged: {why}.", mend)
        if fact.said is None:
            return (fact.message,)
        heard = fact.said
        doubts = say_doubts(plan, heard)
        evenness = say_evenness(heard, self._settings)
        told = f"Evenness: {evenness}." if evenness else ""
        return tuple(filter(None, (say_found(heard), told, *doubts)))

    def sounded(self, run_id: int) -> tuple[SoundedNote, ...]:
        """Tell how the notes of a run sounded; empty where too little is sure."""
        plan, fact = self._plans.get(run_id), self._said.get(run_id)
        if plan is None or fact is None or not isinstance(fact.said, Heard):
            return ()
        return sounded_notes(plan, fact.said, self._settings)

    def is_awaited(self, run_id: int | None) -> bool:
        """Tell whether the ear has still to say what it heard of a run."""
        return run_id in self._plans and run_id not in self._said

    def has_take(self, run_id: int) -> bool:
        """Tell whether a run that was heard has a sound to keep or throw away."""
        fact = self._said.get(run_id)
        return fact is not None and fact.has_take

    def keep(self, run_id: int) -> None:
        """Keep the sound of a run."""
        self._ear.keep(run_id)

    def throw_away(self, run_id: int) -> None:
        """Throw the sound of a run away."""
        self.hush()
        self._ear.throw_away(run_id)

    def play(self, run_id: int, since: Seconds) -> None:
        """Play the sound of a run from a run time on."""
        self.is_playing = True
        self._ear.play(run_id, since)

    def hush(self) -> None:
        """End the sound of a run, if it plays."""
        if self.is_playing:
            self.is_playing = False
            self._ear.hush()


def _says_the_same(proposed: Mark, other: Mark) -> bool:
    """Tell whether a mark that stands says what is proposed."""
    return (proposed.kind, proposed.bar) == (other.kind, other.bar) and abs(
        proposed.beat - other.beat
    ) <= SAME_BEATS
