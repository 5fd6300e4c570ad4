"""One run, start to finish: gather, decide, act, over the gear it is handed.

A screen, the plain text rehearsal and the journeys of the tests all rehearse
through a `Conductor`.  It is called from one thread only.  It never waits: whoever
owns it asks for a `glance` as often as it likes and calls `tick` at least a few
times a second.

Long, since every way in which a run begins and ends is here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from coach.errors import CoachError
from coach.rehearsal.gear.gear import (
    SILENT,
    ClickAwaited,
    ClickSent,
    Fact,
    GearLost,
    PedalPressed,
    RunHeard,
    TakeKept,
    TakeSilent,
    TrackEnded,
)
from coach.rehearsal.hearing.following.told import RunTold, StartHeard, StopTold
from coach.rehearsal.outside import Outside
from coach.rehearsal.rehearsal_settings import RehearsalSettings
from coach.rehearsal.run.listening import Listening
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import Run
from coach.rehearsal.run.run_states import Event, State, move
from coach.rehearsal.run.under_way import UnderWay
from coach.rehearsal.run_followed import RunFollowed
from coach.rehearsal.stand.stand import Planner
from coach.rehearsal.stand.wishes import RunWishes
from coach.score.phrase import Part
from coach.score.tempo import Seconds

END_SLACK = Seconds(0.1)
"""A track that ends this near to its end has been played to the end."""

KEY_COMES_LATE = 2
"""So many times the usual reaction a key may come late: our own choice."""


class Conductor(RunFollowed):
    """A rehearsal of one part.

    Parameters
    ----------
    outside : Outside
        Gear, log and time.  The owner listens to the player and hands every fact to
        `on_fact`, in the one thread that calls everything else.
    is_attended : bool
        Somebody is there to play; otherwise a run is clean only by a word on it.
    """

    def __init__(
        self,
        part: Part,
        planner: Planner,
        outside: Outside,
        wishes: RunWishes,
        settings: RehearsalSettings,
        *,
        is_attended: bool = True,
    ) -> None:
        super().__init__(part, planner, outside, wishes, settings)
        self._is_attended = is_attended
        self._runs_left = 0
        self._runs_asked = 1
        self._ended_at = Seconds(0.0)

    @property
    def is_silent(self) -> bool:
        """No click is heard: none is wanted, or there is nothing to sound it with."""
        is_wanted = self.wishes.click.is_sounding
        return not is_wanted or self._player.says.startswith(SILENT)

    @property
    def run_in_a_row(self) -> tuple[int, int]:
        """Which of how many runs in a row plays."""
        return self._runs_asked - self._runs_left, self._runs_asked

    @property
    def runs_left(self) -> int:
        """Runs in a row still to come, this one left out."""
        return self._runs_left

    @property
    def rest_left(self) -> Seconds:
        """Rest before the next run in a row; 0 outside a rest."""
        if self._state is not State.RESTING:
            return Seconds(0.0)
        gone = self._clock.now() - self._ended_at
        return Seconds(max(0.0, self.wishes.rest - gone))

    @property
    def is_just_over(self) -> bool:
        """A key that is pressed now is still about the end of what was played."""
        since = self._clock.now() - self._ended_at
        return self._state is State.ENDED and since < KEY_COMES_LATE * self.reaction

    def start(self) -> None:
        """Count in and play; a run that waits for a word is saved first."""
        if self._is_sounding:
            return
        if self._state is State.RESTING:
            self._runs_left -= 1
        else:
            self._count_runs()
        self._begin(Event.START)

    def _count_runs(self) -> None:
        """Begin to count the runs in a row that are asked for."""
        self._runs_asked = max(1, self.wishes.runs_in_a_row)
        self._runs_left = self._runs_asked - 1

    def stop(self) -> None:
        """End the sound; a run that is cut off is kept as such."""
        self._runs_left = 0
        self._notice = ""
        if self._book.run and self._is_sounding:
            self._cut_off(self._book.run, Event.STOP)
        elif self._state is State.RESTING:
            self._state = move(self._state, Event.STOP)
            self._turn_to_oldest()

    def again(self) -> None:
        """Cut off what plays and start anew; runs in a row still to come stay."""
        if self._book.run and self._is_sounding:
            self._book.run = self._silence(self._book.run)
        elif self._state is not State.RESTING:
            self._count_runs()
        self._begin(Event.AGAIN)

    def tick(self) -> State:
        """Move on what moves by itself: first beat, end of a rest; give the state."""
        if self._book.run and self._is_sounding:
            self._listen_in(self._book.run)
        elif self._state is State.RESTING and self.rest_left <= 0:
            self.start()
        return self._state

    def on_fact(self, fact: Fact) -> None:
        """Take what the gear says: pedal, end of the track, gear lost."""
        run = self._book.run if self._is_sounding else None
        match fact:
            case ClickSent(is_heard=True) if run:
                self._book.run = run.with_sound(fact.due, fact.sent)
            case TrackEnded() if run:
                self._on_track_ended(run, fact)
            case PedalPressed():
                self._on_pedal(fact)
            case RunHeard() | RunTold() | StartHeard():
                self._do_as_heard(self.take_heard(fact))
            case TrackEnded():
                self.hush_take()
            case GearLost() | ClickAwaited() | TakeKept() | TakeSilent():
                self._notice = fact.message
                if isinstance(fact, GearLost) and fact.is_microphone:
                    self._takes.is_deaf = not fact.is_back
                if isinstance(fact, GearLost | TakeSilent):
                    self.hush_take()
            case _:
                pass

    def finish(self, is_clean: bool | None = None, note: str = "") -> Run:
        """Save the run that waits for a word; of several, the oldest.

        Parameters
        ----------
        is_clean : bool, optional
            The player's word; without one the run is neither clean nor not, unless
            its marks or its end say that it was not.

        Raises
        ------
        ValueError
            If no run waits for a word.
        """
        saved = self._keep_word(is_clean, note)
        if self._state is not State.ENDED:
            self._requests = self._requests.renewed()
        return saved

    def _keep_word(self, is_clean: bool | None = None, note: str = "") -> Run:
        """Save the run that waits for a word, and plan nothing."""
        if self._book.run is None or self._state is not State.ENDED:
            raise ValueError("no run waits for a word")
        run = replace(self._book.run, sounded=self._takes.sounded(self._book.run.id))
        saved = self._book.finish(run, self._stand, is_clean, note)
        if self._book.waits:
            self._state = move(self._state, Event.WORD_BUT_MORE)
            self._turn_to_oldest()
        else:
            self._state = move(self._state, Event.WORD)
        return saved

    def _called(self, words: Mapping[int | None, bool]) -> list[Run]:
        """List like runs with the words that they may get, and the note said so far."""
        at_hand = self._book.run
        return [
            replace(run, note=at_hand.note)
            if at_hand is not None and run.id == at_hand.id
            else run
            for run in super()._called(words)
        ]

    def leave(self) -> None:
        """End the sound, and save whatever waits without a word."""
        self.stop()
        while self._state is State.ENDED:
            self.finish()

    def close(self) -> None:
        """Leave for good: no plan is made for a run that never comes."""
        self.stop()
        while self._state is State.ENDED:
            self._keep_word()

    def _begin(self, event: Event) -> None:
        """Save what waits for a word, count in and play."""
        after = move(self._state, event)
        self.hush_take()
        if self._state is State.RESTING and self._book.run:
            self._book.lay_aside(self._book.run, self._stand)
            if self.wishes.is_ladder_on:
                self._climb(self._book.silence)
        while self._state is State.ENDED:
            self.finish()
        if self._book.run:
            self._book.finish(self._book.run, self._stand)
        self._state = State.READY
        self._own_bpm = None
        self._requests = self._requests.renewed()
        next_run = self._next_run(is_attended=self._is_attended)
        run = self._book.begin(next_run, self.plan)
        self._listening = Listening(self._clock.now(), self.track.starts)
        try:
            self._player.play(self.track)
        except CoachError:
            silent = run.at_end(self.track.starts, is_completed=False)
            self._book.finish(silent, self._stand)
            raise
        self._book.run, self._state = run, after
        if self.wishes.listens:
            self._takes.begin(run.id, self.plan, is_followed=self._is_followed)

    def _turn_to_oldest(self) -> None:
        """Take up the run of a row that has waited longest for its word."""
        if self._book.run:
            self._book.lay_aside(self._book.run, self._stand)
        stand = self._book.take_up()
        self._requests = replace(self._requests, stand=stand, is_stale=True)

    def _listen_in(self, run: UnderWay) -> None:
        """Notice the first beat, and a click that has gone silent."""
        time = self._player.run_time()
        now = self._clock.now()
        self._listening = self._listening.at(time, now)
        if self._listening.is_lost(now, self._settings.run.lost_after_s):
            kept = "; the run is kept as cut off" if self._has_air else ""
            self._cut_off(run, Event.LOST)
            self._notice = f"The click has stopped{kept}."
            return
        is_counting_in = self._state is State.COUNTING_IN
        if is_counting_in and time is not None and time >= self.gauge.first_beat:
            self._state = move(self._state, Event.FIRST_BEAT)

    def _on_track_ended(self, run: UnderWay, fact: TrackEnded) -> None:
        """Come to the end of a run with its track; pass over the end of another."""
        run = replace(run, sent=fact.sent, worst_late=fact.worst_late)
        if fact.at < self.track.ends - END_SLACK:
            self._cut_off(run, Event.LOST)
            return
        length = self.track.ends - self.track.starts
        if self._clock.now() - self._listening.began < length - END_SLACK:
            return
        if self._state is State.COUNTING_IN:
            self._state = move(self._state, Event.FIRST_BEAT)
        self._book.run = run = run.at_end(self.track.ends, is_completed=True)
        self._takes.end(run, self.plan, self.track)
        self._ended_at = self._clock.now()
        if self._runs_left:
            self._state = move(self._state, Event.LAST_BEAT_BUT_MORE)
            self._book.end(run, self._stand)
        else:
            self._state = move(self._state, Event.LAST_BEAT)
            self._turn_to_oldest()

    def _do_as_heard(self, heard: StopTold | StartHeard | None) -> None:
        """Start, or stop as if that had been said when the sound ended."""
        if isinstance(heard, StartHeard):
            self.start()
        elif heard is not None and self._book.run:
            at = Seconds(max(heard.at, self.gauge.first_beat))
            self._cut_off(self._book.run, Event.STOP, at)
            self._notice = f"Stopped: nothing was heard after {self.say_moment(at)}."

    def _cut_off(self, run: UnderWay, event: Event, at: Seconds | None = None) -> None:
        """End a run before its time; in the count-in there is nothing to say of it."""
        self._book.run = run = self._silence(run, at)
        self._runs_left = 0
        is_begun = self._state is State.PLAYING
        more = Event.NO_MORE if self._book.waits and not is_begun else event
        self._state = move(self._state, more)
        if is_begun:
            self._takes.end(run, self.plan, self.track)
        else:
            self._takes.drop()
            self._book.finish(run, self._stand)
        if self._state is State.ENDED:
            self._turn_to_oldest()
        else:
            self._requests = self._requests.renewed()

    def _silence(self, run: UnderWay, at: Seconds | None = None) -> UnderWay:
        """End the sound, and with it the run: now, or it has ended at `at`."""
        time = self._now(run) if at is None else at
        self._player.stop()
        return run.at_end(time, is_completed=False)

    def _on_pedal(self, fact: PedalPressed) -> None:
        """Do what the pedal is learned to mean."""
        match fact.action:
            case "start-stop" if self._is_sounding:
                self.stop()
            case "start-stop":
                self.start()
            case "again":
                self.again()
            case "mark" if self._is_sounding:
                meant = Seconds(fact.at - self._settings.run.reaction_s)
                self.mark(MarkKind.RAN_OUT, meant, "pedal")
            case "mark":
                self.mark(MarkKind.RAN_OUT, by="pedal")
            case _:
                self.breathed(fact.at, "pedal")
