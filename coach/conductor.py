"""One run, start to finish: gather, decide, act, over the gear it is handed.

A screen, the plain text rehearsal and the journeys of the tests all rehearse
through a `Conductor`.  It is called from one thread only.  It never waits: whoever
owns it asks for a `glance` as often as it likes and calls `tick` at least a few
times a second.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime

from coach.config import read_settings
from coach.errors import CoachError
from coach.planning.air import AirSettings
from coach.planning.edits import Edits
from coach.planning.plan import Plan
from coach.rehearsal.choice import Choice, choose_bars, choose_whole
from coach.rehearsal.click_settings import ClickSettings
from coach.rehearsal.clicks import ClickTrack
from coach.rehearsal.desk import lay_desk
from coach.rehearsal.gauge import Gauge, Glance, nearest_gap
from coach.rehearsal.gear import (
    ClickPlayer,
    ClickSent,
    Clock,
    Fact,
    GearLost,
    PedalPressed,
    TrackEnded,
)
from coach.rehearsal.ladder import (
    WORDS,
    Advice,
    LadderSettings,
    advise,
)
from coach.rehearsal.learning import LearningSettings
from coach.rehearsal.review import Review, ReviewSettings, review
from coach.rehearsal.run import (
    Mark,
    MarkedBy,
    MarkKind,
    Run,
    RunLog,
    RunSettings,
    fingerprint,
    mark_at,
)
from coach.rehearsal.session import Event, State, move
from coach.rehearsal.stand import Planner, Stand, StandMaker
from coach.rehearsal.stretch import Stretch
from coach.rehearsal.tempo_scale import TempoSettings, say_bpm, step_tempo
from coach.rehearsal.under_way import UnderWay
from coach.rehearsal.wishes import RunWishes
from coach.score.etude_key import key_of
from coach.score.phrase import Part
from coach.score.tempo import Seconds

END_SLACK = Seconds(0.1)
"""A track that ends this near to its end has been played to the end."""


@dataclass(frozen=True, slots=True)
class RehearsalSettings:
    """Everything in ``config/rehearsal.toml``, the sounds, the level of empty lungs."""

    run: RunSettings
    """How a run is watched."""

    tempo: TempoSettings
    """The scale of tempos."""

    ladder: LadderSettings
    """When to move on."""

    learning: LearningSettings
    """How far to believe what."""

    review: ReviewSettings
    """What counts as trouble."""

    clicks: ClickSettings
    """The sounds of a track, from ``config/click.toml``."""

    empty_air: float
    """Level below which nothing more can be blown, as a fraction of capacity."""


def read_rehearsal_settings() -> RehearsalSettings:
    """Read the shipped numbers, with the player's own in their place."""
    return RehearsalSettings(
        run=read_settings(RunSettings, "rehearsal", "run"),
        tempo=read_settings(TempoSettings, "rehearsal", "tempo"),
        ladder=read_settings(LadderSettings, "rehearsal", "ladder"),
        learning=read_settings(LearningSettings, "rehearsal", "learning"),
        review=read_settings(ReviewSettings, "rehearsal", "review"),
        clicks=read_settings(ClickSettings, "click", "track"),
        empty_air=read_settings(AirSettings, "air").empty_share,
    )


class Conductor:
    """A rehearsal of one part.

    Parameters
    ----------
    part : Part
        The whole part.
    planner : Planner
        Makes every plan.
    player : ClickPlayer
        Plays tracks.  The owner listens to it and hands every fact to `on_fact`,
        in the one thread that calls everything else.
    log : RunLog
        Keeps runs, marks and edits.
    clock : Clock
        Measures rests between runs.
    wall : callable
        Tells the date and time, with a zone, for the run log.
    wishes : RunWishes
        How the first run is to be.
    settings : RehearsalSettings
        From `read_rehearsal_settings`.
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
        self._is_attended = is_attended
        self._etude = key_of(part)
        self._player = player
        self._log = log
        self._clock = clock
        self._wall = wall
        self._settings = settings
        self._desk = lay_desk(
            part,
            StandMaker(planner, settings.clicks, settings.run, settings.empty_air),
            wishes,
            log.read_edits(self._etude),
            settings.run.segment_bars,
        )
        self._state = State.READY
        self._notice = ""
        self._run: UnderWay | None = None
        self._last_run: Run | None = None
        self._runs_left = 0
        self._rest_began = Seconds(0.0)
        self._began = Seconds(0.0)
        self._silent_since: Seconds | None = None
        self._heard_time = Seconds(0.0)

    @property
    def part(self) -> Part:
        """The whole part."""
        return self._desk.part

    @property
    def plan(self) -> Plan:
        """The plan of the run that plays or was just played, else of the next one."""
        return self._desk.stand.plan

    @property
    def segment(self) -> Part:
        """The part that `plan` is for: a stretch, with a zero of its own."""
        return self.stretch.part

    @property
    def first_note(self) -> int:
        """Index in the whole part of the segment's first note."""
        return self.stretch.first_note

    @property
    def stretch(self) -> Stretch:
        """Where the segment lies in the whole part."""
        return self._desk.stand.stretch

    @property
    def track(self) -> ClickTrack:
        """What sounds, or would sound, in that run."""
        return self._desk.stand.track

    @property
    def gauge(self) -> Gauge:
        """Tells any moment of that run."""
        return self._desk.stand.gauge

    @property
    def state(self) -> State:
        """Where the rehearsal stands."""
        return self._state

    @property
    def wishes(self) -> RunWishes:
        """How the next run will be; tempo and bars changed in a run count from then."""
        return self._desk.wishes

    @property
    def edits(self) -> Edits:
        """What the player insists on, counted in the whole part."""
        return self._desk.edits

    @property
    def marks(self) -> tuple[Mark, ...]:
        """Marks of the run that plays or waits for a word, in order of time."""
        marks = self._run.marks if self._run else ()
        return tuple(sorted(marks, key=lambda mark: mark.at))

    @property
    def run_id(self) -> int | None:
        """Number in the log of the run that plays or waits for a word."""
        return self._run.id if self._run else None

    @property
    def last_run(self) -> Run | None:
        """The run that was saved last in this rehearsal."""
        return self._last_run

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

    @property
    def notice(self) -> str:
        """What was done last, in one line; empty for nothing to tell."""
        return self._notice

    def set_tempo(self, bpm: float) -> None:
        """Ask for a tempo; while a run plays, for the next one."""
        scale = self._settings.tempo
        held = min(max(bpm, scale.slowest_bpm), scale.fastest_bpm)
        self._ask(wishes=replace(self.wishes, bpm=held))
        self._notice = f"Tempo {say_bpm(held)}"

    def step_tempo(self, notches: int) -> None:
        """Move the tempo by notches of the traditional scale."""
        self.set_tempo(step_tempo(self.wishes.bpm, notches, self._settings.tempo))

    def set_segment(self, from_bar: int, to_bar: int) -> None:
        """Ask for bars of the page; while a run plays, for the next one."""
        self._choose(choose_bars(self.part, from_bar, to_bar))

    def set_whole(self) -> None:
        """Ask for the whole part; while a run plays, for the next one."""
        self._choose(choose_whole(self.part))

    def next_segment(self) -> None:
        """Move on by a segment: as many bars, or breath to breath."""
        self._choose_following(1)

    def previous_segment(self) -> None:
        """Move back by a segment."""
        self._choose_following(-1)

    def set_wishes(self, wishes: RunWishes) -> None:
        """Ask for everything at once; the click changes even while a run plays."""
        choice = None
        asked = (wishes.from_bar, wishes.to_bar)
        if asked != (self.wishes.from_bar, self.wishes.to_bar):
            choice = choose_bars(self.part, *asked)
        has_new_click = wishes.click != self.wishes.click
        self._ask(wishes=wishes, choice=choice)
        if has_new_click and self._is_sounding:
            desk = self._desk
            self._go_on_with(desk.maker.click_anew(desk.stand, wishes.click))

    def set_edits(self, edits: Edits) -> None:
        """Insist on breaths, positions, dial and loudness; saved at once."""
        self._ask(edits=edits)
        self._log.save_edits(self._etude, edits)

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
        if self._run and self._is_sounding:
            self._cut_off(self._run, Event.STOP)
        elif self._state is State.RESTING:
            self._state = move(self._state, Event.STOP)

    def again(self) -> None:
        """Cut off what plays and start anew; runs in a row still to come stay."""
        if self._run and self._is_sounding:
            self._run = self._silence(self._run)
        elif self._state is not State.RESTING:
            self._runs_left = max(0, self.wishes.runs_in_a_row - 1)
        self._begin(Event.AGAIN)

    def mark(
        self, kind: MarkKind, at: Seconds | None = None, by: MarkedBy = "player"
    ) -> Mark | None:
        """Mark a beat: the one heard now less the reaction time, or the one at `at`.

        Parameters
        ----------
        kind : MarkKind
            What happened.
        at : Seconds, optional
            The run time that is meant; left out, the player has just pressed a key.
        by : str
            Who says so.

        Returns
        -------
        Mark or None
            What was kept, safe in the log; None where no run is there to mark.
        """
        run = self._run
        if run is None or self._state is State.COUNTING_IN:
            self._notice = "Nothing is played yet that could be marked."
            return None
        reaction = self._settings.run.reaction_s
        meant = Seconds(self._now(run) - reaction) if at is None else at
        mark = mark_at(self.plan, kind, meant, by)
        self._keep_mark(run, mark)
        self._notice = f"{WORDS[kind].capitalize()}: bar {mark.bar} beat {mark.beat:g}"
        if at is None:
            self._notice += f", {reaction:g} s before the key"
        return mark

    def take_back_mark(self) -> None:
        """Take the newest mark back."""
        run = self._run
        if run is None or not run.marks:
            self._notice = "There is no mark to take back."
            return
        self._log.take_back_mark(run.id)
        mark = run.marks[-1]
        self._run = replace(run, marks=run.marks[:-1])
        self._notice = f"Taken back: {WORDS[mark.kind]} in bar {mark.bar}"

    def breathed(self, at: Seconds | None = None, by: MarkedBy = "player") -> None:
        """Note a breath, planned or not; gauge and prompts are made anew at once."""
        run = self._run
        if run is None or self._state is not State.PLAYING:
            self._notice = "No run is playing."
            return
        time = self._now(run) if at is None else at
        mark = mark_at(self.plan, MarkKind.BREATHED, time, by)
        run = self._keep_mark(run, mark)
        self._notice = f"Breath taken in bar {mark.bar} beat {mark.beat:g}"
        gap = nearest_gap(self.plan.times, time)
        if gap is not None:
            self._plan_rest(run.with_breath(gap), time)

    def missed_breath(self, at: Seconds | None = None, by: MarkedBy = "player") -> None:
        """Note that the planned breath just past was not taken; all is made anew."""
        run = self._run
        if run is None or self._state is not State.PLAYING:
            self._notice = "No run is playing."
            return
        time = self._now(run) if at is None else at
        past = [breath for breath in self.plan.breaths.breaths if breath.start <= time]
        if not past:
            self._notice = "No breath was due yet."
            return
        gap, start = past[-1].after_note, past[-1].start
        mark = mark_at(self.plan, MarkKind.MISSED_BREATH, start, by)
        run = self._keep_mark(run, mark)
        self._notice = f"Breath missed in bar {mark.bar} beat {mark.beat:g}"
        self._plan_rest(run.without_breath(gap), time)

    def glance(self, time: Seconds | None = None) -> Glance:
        """Tell what a player must see at a run time, or at what is heard now."""
        if time is not None:
            return self.gauge.glance(time)
        if self._run is None:
            return self.gauge.glance(self.gauge.first_beat)
        glance = self.gauge.glance(self._now(self._run))
        return glance if self._is_sounding else replace(glance, is_over=True)

    def tick(self) -> State:
        """Move on what moves by itself: first beat, end of a rest; give the state."""
        if self._run and self._is_sounding:
            self._listen_in(self._run)
        elif self._state is State.RESTING and self.rest_left <= 0:
            self.start()
        return self._state

    def on_fact(self, fact: Fact) -> None:
        """Take what the gear says: pedal, end of the track, gear lost."""
        match fact:
            case ClickSent(is_heard=True) if self._run and self._is_sounding:
                self._run = self._run.with_sound(fact.due, fact.sent)
            case TrackEnded() if self._run and self._is_sounding:
                self._on_track_ended(self._run, fact)
            case PedalPressed():
                self._on_pedal(fact)
            case GearLost():
                self._notice = fact.message
            case _:
                pass

    def finish(self, is_clean: bool | None = None, note: str = "") -> Run:
        """Save the run that waits for a word.

        Parameters
        ----------
        is_clean : bool, optional
            The player's word; left open, a run to the end without a fault is clean
            if somebody was there.
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
        if self._run is None or self._state is not State.ENDED:
            raise ValueError("no run waits for a word")
        saved = self._keep_word(self._run, is_clean, note)
        self._state = move(self._state, Event.WORD)
        self._desk = self._desk.renewed()
        return saved

    def advice(self) -> Advice:
        """Tell what to play next and why."""
        self._desk = self._desk.divided()
        return advise(
            self._log.list_runs(self._etude),
            self._desk.standing(self._desk.choice, self._wall()),
            self._settings.ladder,
            self._settings.tempo,
        )

    def review(self) -> Review:
        """Sum up all runs of the part."""
        return review(
            self.part.title,
            self._log.list_runs(self._etude),
            self._desk.standing(choose_whole(self.part), self._wall()),
            self._settings.review,
            self._settings.ladder,
            self._settings.tempo,
            self._settings.learning,
        )

    @property
    def _is_sounding(self) -> bool:
        """The click runs."""
        return self._state in (State.COUNTING_IN, State.PLAYING)

    def _now(self, run: UnderWay) -> Seconds:
        """Tell the run time that is heard now; after its end, the end."""
        if run.ended is not None:
            return run.ended
        time = self._player.run_time()
        if time is not None:
            self._heard_time = time
        return self._heard_time

    # What lies on the stand.

    def _ask(
        self,
        *,
        wishes: RunWishes | None = None,
        choice: Choice | None = None,
        edits: Edits | None = None,
    ) -> None:
        """Take new wishes if they can be met: at once, or from the next run on."""
        self._desk = self._desk.asked(
            is_free=self._state is State.READY,
            wishes=wishes,
            choice=choice,
            edits=edits,
        )

    def _choose(self, choice: Choice) -> None:
        """Ask for a segment."""
        is_free = self._state is State.READY
        self._desk = self._desk.choose(choice, is_free=is_free)
        first, last = self._desk.numbers(choice)
        self._notice = f"Bars {first} to {last}" if first < last else f"Bar {first}"

    def _choose_following(self, step: int) -> None:
        """Ask for the segment after this one, or before it."""
        self._desk = self._desk.divided()
        following = self._desk.following(self._desk.choice, step)
        if following is None:
            end = "last" if step > 0 else "first"
            self._notice = f"This is the {end} segment."
        else:
            self._choose(following)

    def _go_on_with(self, stand: Stand) -> None:
        """Change what lies on the stand in the middle of a run, for that run."""
        if stand.track != self.track:
            self._player.change(stand.track)
        self._desk = replace(self._desk, stand=stand, is_stale=True)

    # A run, from its first click to the word on it.

    def _begin(self, event: Event) -> None:
        """Save what waits for a word, count in and play."""
        after = move(self._state, event)
        if self._run is not None:
            self._keep_word(self._run, None, "")
        if self.wishes.is_ladder_on and self._state is State.RESTING:
            self._climb()
        self._state = State.READY
        self._desk = self._desk.renewed()
        run = UnderWay(self._log.begin(self._new_run()))
        self._began, self._silent_since = self._clock.now(), None
        self._heard_time = self.track.starts
        try:
            self._player.play(self.track)
        except CoachError:
            self._keep_word(run.at_end(self.track.starts, is_completed=False), None, "")
            raise
        self._run, self._state = run, after

    def _new_run(self) -> Run:
        """Describe the run that is about to begin."""
        return Run(
            started=self._wall(),
            etude=self.part.title,
            etude_key=self._etude.fingerprint,
            from_bar=self.stretch.from_bar,
            to_bar=self.stretch.to_bar,
            bpm=self.plan.bpm,
            is_completed=False,
            is_clean=False,
            plan=fingerprint(self.plan),
            is_whole=self.stretch.is_whole,
            is_attended=self._is_attended,
        )

    def _climb(self) -> None:
        """Let the ladder choose the tempo of the next run in a row."""
        advice = self.advice()
        self._notice = advice.why
        if advice.kind in ("faster", "slower"):
            self._ask(wishes=replace(self.wishes, bpm=advice.bpm))

    def _listen_in(self, run: UnderWay) -> None:
        """Notice the first beat, and a click that has gone silent."""
        time = self._player.run_time()
        now = self._clock.now()
        if time is not None:
            self._silent_since, self._heard_time = None, time
            if self._state is State.COUNTING_IN and time >= self.gauge.first_beat:
                self._state = move(self._state, Event.FIRST_BEAT)
        elif self._silent_since is None:
            self._silent_since = now
        elif now - self._silent_since > self._settings.run.lost_after_s:
            self._cut_off(run, Event.LOST)
            self._notice = "The click has stopped; the run is kept as cut off."

    def _on_track_ended(self, run: UnderWay, fact: TrackEnded) -> None:
        """Come to the end of a run with its track; pass over the end of another."""
        run = replace(run, sent=fact.sent, worst_late=fact.worst_late)
        if fact.at < self.track.ends - END_SLACK:
            self._cut_off(run, Event.LOST)
            return
        length = self.track.ends - self.track.starts
        if self._clock.now() - self._began < length - END_SLACK:
            return
        if self._state is State.COUNTING_IN:
            self._state = move(self._state, Event.FIRST_BEAT)
        self._run = run.at_end(self.track.ends, is_completed=True)
        more = Event.LAST_BEAT_BUT_MORE if self._runs_left else Event.LAST_BEAT
        self._state = move(self._state, more)
        self._rest_began = self._clock.now()
        self._run = self._keep_end(self._run)

    def _cut_off(self, run: UnderWay, event: Event) -> None:
        """End a run before its time; in the count-in there is nothing to say of it."""
        self._run = run = self._silence(run)
        self._runs_left = 0
        self._state = move(self._state, event)
        if self._state is State.READY:
            self._keep_word(run, None, "")
            self._desk = self._desk.renewed()
        else:
            self._run = self._keep_end(run)

    def _silence(self, run: UnderWay) -> UnderWay:
        """End the sound, and with it the run."""
        time = self._now(run)
        self._player.stop()
        return run.at_end(time, is_completed=False)

    def _keep_mark(self, run: UnderWay, mark: Mark) -> UnderWay:
        """Keep a mark in the log, then in the run."""
        self._log.add_mark(run.id, mark)
        self._run = replace(run, marks=(*run.marks, mark))
        return self._run

    def _keep_end(self, run: UnderWay) -> UnderWay:
        """Keep how a run came to its end, unless that is kept already."""
        if not run.is_kept:
            self._log.end(run.id, run.how(self.gauge))
        return replace(run, is_kept=True)

    def _keep_word(self, run: UnderWay, is_clean: bool | None, note: str) -> Run:
        """Keep the word on the run and close it."""
        run = self._keep_end(run)
        saved = self._log.finish(run.id, run.word(self.gauge, is_clean, note))
        self._run, self._last_run = None, saved
        return saved

    def _plan_rest(self, run: UnderWay, now: Seconds) -> None:
        """Plan anew what is still to come, after a breath more or less."""
        self._run = run
        desk = self._desk
        inside = desk.edits.within(self.first_note, len(self.segment.notes))
        notice = Seconds(self._settings.run.breath_notice_s)
        locks = run.locks_now(self.gauge, now, inside.locks, notice)
        try:
            stand = desk.maker.plan_anew(
                desk.stand, desk.edits, locks, desk.wishes.click
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
