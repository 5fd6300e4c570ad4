"""The run at hand as it is heard while it plays: breaths, loudness, a stop, a start."""

from __future__ import annotations

from dataclasses import replace
from math import floor

from coach.planning.naming import say_place
from coach.rehearsal.gear.gear import RunHeard
from coach.rehearsal.hearing.following.follow_wishes import start_wish
from coach.rehearsal.hearing.following.told import (
    BreathTold,
    LoudnessTold,
    RunTold,
    StartHeard,
    StopTold,
)
from coach.rehearsal.run.noting import note_told
from coach.rehearsal.run.run_states import State
from coach.rehearsal.run.under_way import UnderWay
from coach.rehearsal.stand.louder import play_louder
from coach.rehearsal.stand.stand import Stand
from coach.rehearsal.stand.wishes import RunWishes
from coach.rehearsal.take_at_hand import TakeAtHand
from coach.score.phrase import place_of
from coach.score.tempo import Seconds


class RunFollowed(TakeAtHand):
    """A rehearsal whose run is followed by ear, as far as the player wants that."""

    _louder_run: int | None = None
    _louder_steps = 0.0

    def open_ear(self) -> None:
        """Open the microphone, if the player wants to be heard, or to begin by it."""
        super().open_ear()
        if self.wishes.listens:
            self._await_start(self.wishes)

    def set_wishes(self, wishes: RunWishes) -> None:
        """Ask for everything at once, and for the sound that begins a run."""
        super().set_wishes(wishes)
        self._await_start(wishes)

    def _await_start(self, wishes: RunWishes) -> None:
        """Wait for the sound that is to begin a run, or for none."""
        self._takes.await_start(start_wish(self.part, wishes.following))

    def pass_over_key(self) -> None:
        """Let no sound begin a run just now: the player has pressed a key."""
        self._takes.pass_over()

    @property
    def _is_followed(self) -> bool:
        """The ear is to follow the run; beside a line of ours it could not."""
        click = self.wishes.click
        sounds_along = click.is_sounding and (click.guide or click.drone)
        return self.wishes.following.is_any and not sounds_along

    def _hears(self, fact: RunTold) -> bool:
        """Tell whether what is told is of the run that plays, and is to be heard."""
        wishes = self.wishes.following
        wanted = {
            BreathTold: wishes.follows,
            LoudnessTold: wishes.drives_gauge,
            StopTold: wishes.stops,
        }
        is_at_hand = fact.run_id == self.run_id and self._state is State.PLAYING
        return is_at_hand and self._is_followed and wanted[type(fact.told)]

    def say_moment(self, at: Seconds) -> str:
        """Say which beat sounds at a run time."""
        place = place_of(self.plan.part, self.plan.tempo_map.beats_at(at))
        return say_place(place.bar, float(floor(place.beat)))

    def take_heard(
        self, fact: RunHeard | RunTold | StartHeard
    ) -> StopTold | StartHeard | None:
        """Take what was heard of a run, or before one.

        Returns
        -------
        StopTold, StartHeard or None
            What asks for a run to stop or to start.
        """
        run = self._book.run
        if isinstance(fact, RunHeard):
            self._takes.take(fact)
        elif isinstance(fact, StartHeard):
            is_wanted = self.wishes.following.start_by and not self._is_sounding
            return fact if is_wanted else None
        elif run is not None and self._hears(fact):
            if isinstance(fact.told, StopTold):
                return fact.told
            if isinstance(fact.told, BreathTold):
                self._hear_breath(run, fact.told)
            else:
                self._hear_loudness(run, fact.told)
        return None

    def _hear_breath(self, run: UnderWay, told: BreathTold) -> None:
        """Note a breath more or less, as its key does it."""
        noted = note_told(self.plan, run, told)
        if noted is None:
            return
        self._keep(noted)
        self._notice = f"{noted.says}, as heard; a key takes it back"
        self._plan_rest(noted.run, self._now(noted.run))

    def _hear_loudness(self, run: UnderWay, told: LoudnessTold) -> None:
        """Let the gauge run down as fast as the player blows, from here on."""
        known = self._louder_steps if self._louder_run == run.id else 0.0
        self._louder_run, self._louder_steps = run.id, told.steps
        louder = play_louder(self._stand, self._now(run), told.steps - known)
        self._requests = replace(self._requests, stand=louder, is_stale=True)
        how = "louder" if told.steps > 0 else "softer"
        self._notice = f"{abs(told.steps):.1f} steps {how} than at the beginning."
        self._plan_rest(run, self._now(run))

    def _go_on_with(self, stand: Stand) -> None:
        """Change what lies on the stand in the middle of a run, for that run."""
        super()._go_on_with(stand)
        if self._is_sounding and self._book.run:
            self._takes.change(self._book.run.id, stand.plan)
