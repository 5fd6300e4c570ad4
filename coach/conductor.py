"""One run, start to finish: gather, decide, act, over the gear it is handed.

A screen, the plain text rehearsal and the journeys of the tests all rehearse
through a `Conductor`.  It is called from one thread only.  It never waits: whoever
owns it asks for a `glance` as often as it likes and calls `tick` at least a few
times a second.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime

from coach.errors import CoachError
from coach.rehearsal.gear.gear import (
    ClickAwaited,
    ClickPlayer,
    ClickSent,
    Clock,
    Fact,
    GearLost,
    PedalPressed,
    TrackEnded,
)
from coach.rehearsal.rehearsal import Rehearsal
from coach.rehearsal.rehearsal_settings import RehearsalSettings
from coach.rehearsal.run.gauge import Glance
from coach.rehearsal.run.listening import Listening
from coach.rehearsal.run.mark import Mark, MarkedBy, time_of_beat
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.noting import NOTES_OF_BREATH, Noted, note_mark
from coach.rehearsal.run.run import Run, RunLog
from coach.rehearsal.run.run_book import RunBook
from coach.rehearsal.run.run_states import Event, State, move
from coach.rehearsal.run.typed_words import Said
from coach.rehearsal.run.under_way import UnderWay
from coach.rehearsal.stand.stand import Planner, Stand
from coach.rehearsal.stand.wishes import RunWishes
from coach.score.phrase import Part
from coach.score.tempo import Seconds

END_SLACK = Seconds(0.1)
"""A track that ends this near to its end has been played to the end."""


class Conductor(Rehearsal):
    """A rehearsal of one part.

    Parameters
    ----------
    player : ClickPlayer
        Plays tracks.  The owner listens to it and hands every fact to `on_fact`,
        in the one thread that calls everything else.
    clock : Clock
        Measures rests between runs.
    wall : callable
        Tells the date and time, with a zone, for the run log.
    is_attended : bool
        Somebody is there to play; otherwise a run is clean only by a word on it.
    """

    def __init__(
        self,
        part: Part,
        planner: Planner,
        player: ClickPlayer,
        log: RunLog,
        clock: Clock,
        wall: Callable[[], datetime],
        wishes: RunWishes,
        settings: RehearsalSettings,
        *,
        is_attended: bool = True,
    ) -> None:
        super().__init__(part, planner, log, wall, wishes, settings)
        self._player = player
        self._clock = clock
        self._is_attended = is_attended
        self._state = State.READY
        self._book = RunBook(log)
        self._runs_left = 0
        self._rest_began = Seconds(0.0)
        self._listening = Listening(Seconds(0.0), Seconds(0.0))

    @property
    def state(self) -> State:
        """Where the rehearsal stands."""
        return self._state

    @property
    def is_free(self) -> bool:
        """Nothing plays or waits for a word: what is asked for is put up at once."""
        return self._state is State.READY

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Marks of the run that plays or waits for a word, in order of time."""
        marks = self._book.run.marks if self._book.run else ()
        return tuple(sorted(marks, key=lambda mark: mark.at))

    @property
    def run_id(self) -> int | None:
        """Number in the log of the run that plays or waits for a word."""
        return self._book.run.id if self._book.run else None

    @property
    def words_wanted(self) -> tuple[int, int]:
        """Which run in a row waits for a word, from 1, and of how many."""
        return self._book.place

    @property
    def last_run(self) -> Run | None:
        """The run that was saved last in this rehearsal."""
        return self._book.last

    @property
    def runs_left(self) -> int:
        """Runs in a row still to come, this one left out."""
        return self._runs_left

    @property
    def rest_left(self) -> Seconds:
        """Rest before the next run in a row; 0 outside a rest."""
        if self._state is not State.RESTING:
            return Seconds(0.0)
        gone = self._clock.now() - self._rest_began
        return Seconds(max(0.0, self.wishes.rest - gone))

    def set_wishes(self, wishes: RunWishes) -> None:
        """Ask for everything at once; the click changes even while a run plays."""
        has_new_click = wishes.click != self.wishes.click
        super().set_wishes(wishes)
        if has_new_click and self._is_sounding:
            requests = self._requests
            self._go_on_with(requests.maker.click_anew(requests.stand, wishes.click))

    def start(self) -> None:
        """Count in and play; a run that waits for a word is saved first."""
        if self._is_sounding:
            return
        if self._state is State.RESTING:
            self._runs_left -= 1
        else:
            self._runs_left = max(0, self.wishes.runs_in_a_row - 1)
        self._begin(Event.START)

    def stop(self) -> None:
        """End the sound; a run that is cut off is kept as such."""
        self._runs_left = 0
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
            self._runs_left = max(0, self.wishes.runs_in_a_row - 1)
        self._begin(Event.AGAIN)

    def mark(
        self, kind: MarkKind, at: Seconds | None = None, by: MarkedBy = "player"
    ) -> Mark | None:
        """Mark a beat: the one heard now less the reaction time, or the one at `at`.

        Parameters
        ----------
        at : Seconds, optional
            The run time that is meant; left out, the player has just pressed a key.

        Returns
        -------
        Mark or None
            What was kept, safe in the log; None where no run is there to mark.
        """
        run = self._book.run
        if run is None or self._state is State.COUNTING_IN:
            self._notice = "Nothing is played yet that could be marked."
            return None
        if at is None and kind in NOTES_OF_BREATH:
            return self._note_breath(kind, None, by)
        reaction = self._settings.run.reaction_s
        meant = Seconds(self._now(run) - reaction) if at is None else at
        mark = self._keep(note_mark(self.plan, run, kind, meant, by))
        if at is None:
            self._notice += f", {reaction:g} s before the key"
        return mark

    def take_words(self, said: Said) -> str:
        """Mark what is said of the run that waits for a word; give what is a note.

        Parameters
        ----------
        said : Said
            What the player typed.

        Returns
        -------
        str
            The note, with the marks of bars that were not played.
        """
        notes = [said.note] if said.note else []
        for mark in said.marks:
            at = time_of_beat(self.plan, mark.bar, mark.beat)
            if at is None:
                notes.append(f"{mark.kind.words} {mark.bar}.{mark.beat}")
            else:
                self.mark(mark.kind, at)
        return ", ".join(notes)

    def take_back_mark(self) -> None:
        """Take the newest mark back."""
        run = self._book.run
        if run is None:
            self._notice = "There is no mark to take back."
        else:
            self._notice = self._book.take_back(run)

    def breathed(self, at: Seconds | None = None, by: MarkedBy = "player") -> None:
        """Note a breath, planned or not; gauge and prompts are made anew at once."""
        self._note_breath(MarkKind.BREATHED, at, by)

    def missed_breath(self, at: Seconds | None = None, by: MarkedBy = "player") -> None:
        """Note that the planned breath just past was not taken; all is made anew."""
        self._note_breath(MarkKind.MISSED_BREATH, at, by)

    def glance(self, time: Seconds | None = None) -> Glance:
        """Tell what a player must see at a run time, or at what is heard now."""
        if time is not None:
            return self.gauge.glance(time)
        if self._book.run is None:
            return self.gauge.glance(self.gauge.first_beat)
        glance = self.gauge.glance(self._now(self._book.run))
        return glance if self._is_sounding else replace(glance, is_over=True)

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
            case GearLost() | ClickAwaited():
                self._notice = fact.message
            case _:
                pass

    def finish(self, is_clean: bool | None = None, note: str = "") -> Run:
        """Save the run that waits for a word; of several, the oldest.

        Parameters
        ----------
        is_clean : bool, optional
            The player's word; without one the run is neither clean nor not, unless
            its marks or its end say that it was not.
        note : str
            The player's own words.

        Returns
        -------
        Run
            As it stands in the log.

        Raises
        ------
        ValueError
            If no run waits for a word.
        """
        if self._book.run is None or self._state is not State.ENDED:
            raise ValueError("no run waits for a word")
        saved = self._book.finish(self._book.run, self._stand, is_clean, note)
        if self._book.waits:
            self._state = move(self._state, Event.WORD_BUT_MORE)
            self._turn_to_oldest()
        else:
            self._state = move(self._state, Event.WORD)
            self._requests = self._requests.renewed()
        return saved

    def leave(self) -> None:
        """End the sound, and save whatever waits without a word."""
        self.stop()
        while self._state is State.ENDED:
            self.finish()

    @property
    def _is_sounding(self) -> bool:
        """The click runs."""
        return self._state in (State.COUNTING_IN, State.PLAYING)

    @property
    def _stand(self) -> Stand:
        """What lies on the stand."""
        return self._requests.stand

    def _now(self, run: UnderWay) -> Seconds:
        """Tell the run time that is heard now; after its end, the end."""
        if run.ended is not None:
            return run.ended
        time = self._player.run_time()
        if time is not None:
            self._listening = replace(self._listening, heard=time)
        return self._listening.heard

    def _go_on_with(self, stand: Stand) -> None:
        """Change what lies on the stand in the middle of a run, for that run."""
        if stand.track != self.track:
            self._player.change(stand.track)
        self._requests = replace(self._requests, stand=stand, is_stale=True)

    # A run, from its first click to the word on it.

    def _begin(self, event: Event) -> None:
        """Save what waits for a word, count in and play."""
        after = move(self._state, event)
        if self._state is State.RESTING and self._book.run:
            self._book.lay_aside(self._book.run, self._stand)
            if self.wishes.is_ladder_on:
                self._climb(self._book.silence)
        while self._state is State.ENDED:
            self.finish()
        if self._book.run:
            self._book.finish(self._book.run, self._stand)
        self._state = State.READY
        self._requests = self._requests.renewed()
        run = self._book.begin(self._next_run(is_attended=self._is_attended))
        self._listening = Listening(self._clock.now(), self.track.starts)
        try:
            self._player.play(self.track)
        except CoachError:
            silent = run.at_end(self.track.starts, is_completed=False)
            self._book.finish(silent, self._stand)
            raise
        self._book.run, self._state = run, after

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
            self._cut_off(run, Event.LOST)
            self._notice = "The click has stopped; the run is kept as cut off."
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
        self._rest_began = self._clock.now()
        if self._runs_left:
            self._state = move(self._state, Event.LAST_BEAT_BUT_MORE)
            self._book.end(run, self._stand)
        else:
            self._state = move(self._state, Event.LAST_BEAT)
            self._turn_to_oldest()

    def _cut_off(self, run: UnderWay, event: Event) -> None:
        """End a run before its time; in the count-in there is nothing to say of it."""
        self._book.run = run = self._silence(run)
        self._runs_left = 0
        is_begun = self._state is State.PLAYING
        more = Event.NO_MORE if self._book.waits and not is_begun else event
        self._state = move(self._state, more)
        if not is_begun:
            self._book.finish(run, self._stand)
        if self._state is State.ENDED:
            self._turn_to_oldest()
        else:
            self._requests = self._requests.renewed()

    def _silence(self, run: UnderWay) -> UnderWay:
        """End the sound, and with it the run."""
        time = self._now(run)
        self._player.stop()
        return run.at_end(time, is_completed=False)

    def _keep(self, noted: Noted) -> Mark | None:
        """Keep what was noted, and say it."""
        self._notice = noted.says
        return self._book.note(noted)

    def _note_breath(
        self, kind: MarkKind, at: Seconds | None, by: MarkedBy
    ) -> Mark | None:
        """Note a breath more or less, and plan anew what is still to come."""
        run = self._book.run
        if run is None or self._state is not State.PLAYING:
            self._notice = "No run is playing."
            return None
        time = self._now(run) if at is None else at
        noted = NOTES_OF_BREATH[kind](self.plan, run, time, by)
        mark = self._keep(noted)
        if noted.changes_breaths:
            self._plan_rest(noted.run, time)
        return mark

    def _plan_rest(self, run: UnderWay, now: Seconds) -> None:
        """Plan anew what is still to come, after a breath more or less."""
        requests = self._requests
        inside = requests.edits.within(self.first_note, len(self.segment.part.notes))
        notice = Seconds(self._settings.run.breath_notice_s)
        locks = run.locks_now(self.gauge, now, inside.locks, notice)
        try:
            stand = requests.maker.plan_anew(
                requests.stand, requests.edits, locks, requests.wishes.click
            )
        except CoachError as error:
            self._notice = f"{self._notice}; {error.message}"
        else:
            self._go_on_with(stand)

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
