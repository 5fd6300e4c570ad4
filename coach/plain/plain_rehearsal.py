"""A rehearsal in lines of text: for screen readers, for ssh, for scripts and tests.

Every cue is a line, written when it is due: bar lines, prompts, breaths, the end.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from math import inf
from queue import SimpleQueue

from coach.conductor import Conductor
from coach.plain.beware_lines import beware_lines, tell_optional
from coach.plain.review_lines import say_next
from coach.planning.naming import say_bars
from coach.planning.page_words import say_order
from coach.rehearsal.click.tempo_scale import say_bpm
from coach.rehearsal.gear.gear import ClickPlayer, Clock, Fact
from coach.rehearsal.run.gauge import Gauge
from coach.rehearsal.run.playing import NO_ROOM_NEEDED, say_room
from coach.rehearsal.run.run_states import State
from coach.rehearsal.run.run_words import NO_VERDICT, say_kept, say_mark_heard
from coach.rehearsal.run.typed_words import NOTHING_SAID, read_words, say_noted
from coach.score.page_facts import span_of
from coach.score.tempo import Seconds

SLICE_S = Seconds(0.05)
"""Longest wait, so that a pedal or a wish to stop is noticed at once."""

HAIR_S = Seconds(0.001)
"""Shortest wait: rounding must not let a line be waited for without end."""

SOUNDS_BY_S = 0.4
"""By then it is known how the click sounds: gear takes a moment to open."""

INTERRUPTED = 130
"""Exit code of a command that was interrupted."""

Say = Callable[[str], None]
"""Writes a line; it must come out at once."""

Ask = Callable[[str], str]
"""Puts a question and gives the answer; raises EOFError where nobody answers."""

QUESTION = (
    "How was it (clean, not clean, ran out 7.3, rushed 12, late after the breath 9, "
    "or any words)? "
)
"""Asked after the last run; the answer is read by `read_words`."""

AS_HEARD_QUESTION = QUESTION.replace("(clean", "(as heard, clean")
"""Asked where the microphone proposes marks."""

STARTS = {
    "note": "Hold a note for a second to begin; Ctrl+C ends.",
    "knock": "Knock twice to begin; Ctrl+C ends.",
}
"""Said where a sound begins the run."""

HEARD_WITHIN_S = Seconds(20.0)
"""How long the ear may take for a run before it is done without: our own choice."""


@dataclass(frozen=True, slots=True, order=True)
class TimedLine:
    """One line and when it is due."""

    at: Seconds
    """Run time."""

    says: str
    """The line."""


def rehearse_plain(
    conductor: Conductor,
    player: ClickPlayer,
    clock: Clock,
    say: Say,
    ask: Ask | None = None,
) -> int:
    """Rehearse in lines of text; give the exit code."""
    facts: SimpleQueue[Fact] = SimpleQueue()
    player.listen(facts.put)
    say(f"{conductor.part.heading}.")
    if conductor.notice:
        say(conductor.notice)
    try:
        for line in beware_lines(conductor):
            say(line)
        conductor.open_ear()
        _begin(conductor, clock, facts, say)
        _play(conductor, clock, facts, _Reader(conductor, player, say))
        _ask_for_words(conductor, ask, say, partial(_hear_out, conductor, clock, facts))
        say(say_next(conductor.advice()))
    except KeyboardInterrupt:
        conductor.leave()
        if conductor.last_run is not None:
            say(say_kept(conductor.last_run, is_kept=conductor.is_kept))
        return INTERRUPTED
    finally:
        conductor.shut_ear()
        player.stop()
    return 0


def cues_of(gauge: Gauge) -> tuple[TimedLine, ...]:
    """List every line of a run, in order of time."""
    return tuple(
        sorted(
            [*_count_in(gauge), *_bar_lines(gauge), *_prompts(gauge), *_breaths(gauge)],
            key=lambda cue: cue.at,
        )
    )


class _Reader:
    """Reads out what is due, and what is new."""

    def __init__(self, conductor: Conductor, player: ClickPlayer, say: Say) -> None:
        self._conductor = conductor
        self._player = player
        self._sounds = ""
        self._run_id: int | None = None
        self._say = say
        self._gauge: Gauge | None = None
        self._cues: tuple[TimedLine, ...] = ()
        self._read_to = -inf
        self._notice = conductor.notice
        self._state = State.READY

    def read(self) -> Seconds:
        """Say all that is due; tell how long until the next line at most."""
        conductor = self._conductor
        if conductor.state is not self._state:
            self._state = conductor.state
            self._say_state()
        self._say_notice()
        if self._state is State.ENDED and conductor.run_id != self._run_id:
            return HAIR_S  # all is read, and the first of a row waits for its word
        if conductor.gauge is not self._gauge:
            self._gauge = conductor.gauge
            self._cues = cues_of(self._gauge)
        if conductor.run_id != self._run_id:
            self._run_id, self._read_to = conductor.run_id, -inf
        time = conductor.glance().time
        if time < conductor.track.starts:
            self._read_to = -inf  # it waits for its click, or is begun anew
        if time > conductor.track.starts + SOUNDS_BY_S:
            self._say_sound()
        for cue in self._cues:
            if self._read_to < cue.at <= time:
                self._say(cue.says)
        self._read_to = max(self._read_to, time)
        left = (cue.at - time for cue in self._cues if cue.at > time)
        return Seconds(max(HAIR_S, min([SLICE_S, *left])))

    def _say_notice(self) -> None:
        """Say what is new, unless that is only that something is over."""
        if self._conductor.notice != self._notice:
            self._notice = self._conductor.notice
            if self._notice:
                self._say(self._notice)

    def _say_sound(self) -> None:
        """Say how the click sounds, once and whenever that changes."""
        if self._player.says != self._sounds:
            self._sounds = self._player.says
            self._say(f"Click: {self._sounds}.")

    def _say_state(self) -> None:
        """Say what the rehearsal has come to."""
        conductor = self._conductor
        if self._state is State.COUNTING_IN:
            tell_optional(conductor)
            segment = conductor.segment
            bars = say_bars(segment.from_bar, segment.to_bar)
            order = "" if segment.is_whole else say_order(segment.part.bars)
            tempo = say_bpm(conductor.plan.bpm)
            said = f"{bars.capitalize()} at {tempo}{self._room()}"
            self._say(f"{', '.join(filter(None, (said, order)))}.")
        elif self._state is State.RESTING:
            rest_s = conductor.wishes.rest
            rest = f" Rest for {rest_s:g} s." if rest_s else ""
            self._say(f"End of the run; {conductor.runs_left} to go.{rest}")
        elif self._state is State.ENDED:
            self._say("End of the run.")

    def _room(self) -> str:
        """Say how much rest there is at the breaths, where it is asked for."""
        conductor = self._conductor
        if not conductor.wishes.room_beats:
            return ""
        if not conductor.room_beats:
            return f"; {NO_ROOM_NEEDED}"
        return f", with {say_room(conductor.room_beats)} at each breath"


def _play(
    conductor: Conductor, clock: Clock, facts: SimpleQueue[Fact], reader: _Reader
) -> None:
    """Read out each line when it is due, until the last run in a row is over."""
    while conductor.state not in (State.ENDED, State.READY):
        conductor.tick()
        _take_in(conductor, facts)
        wait = reader.read()
        clock.wait_until(Seconds(clock.now() + wait))


def _begin(
    conductor: Conductor, clock: Clock, facts: SimpleQueue[Fact], say: Say
) -> None:
    """Start at once, or wait for the sound that is to begin a run, or the pedal."""
    wishes = conductor.wishes
    if not (wishes.listens and wishes.following.start_by):
        conductor.start()
        return
    say(STARTS[wishes.following.start_by])
    notice = conductor.notice
    while conductor.state is State.READY:
        clock.wait_until(Seconds(clock.now() + SLICE_S))
        _take_in(conductor, facts)
        if conductor.notice != notice:
            notice = conductor.notice
            say(notice)


def _take_in(conductor: Conductor, facts: SimpleQueue[Fact]) -> None:
    """Hand over all that the gear has said by now."""
    while not facts.empty():
        conductor.on_fact(facts.get())


def _hear_out(conductor: Conductor, clock: Clock, facts: SimpleQueue[Fact]) -> None:
    """Wait until the ear has had its say, as long as it may take."""
    until = clock.now() + HEARD_WITHIN_S
    _take_in(conductor, facts)
    while conductor.is_being_heard and clock.now() < until:
        clock.wait_until(Seconds(clock.now() + SLICE_S))
        _take_in(conductor, facts)


def _ask_for_words(
    conductor: Conductor, ask: Ask | None, say: Say, hear_out: Callable[[], None]
) -> None:
    """Ask of each run how it was, and say what is kept; no answer is an answer too."""
    while conductor.state is State.ENDED:
        k, runs = conductor.words_wanted
        which = f"Run {k} of {runs}. " if runs > 1 else ""
        said = NOTHING_SAID
        hear_out()
        for line in conductor.heard_lines:
            say(f"{which}{line}")
        for mark in conductor.proposed:
            say(f"{which}Heard: {say_mark_heard(mark)}.")
        question = AS_HEARD_QUESTION if conductor.proposed else QUESTION
        if ask is not None:
            try:
                said = read_words(ask(which + question))
            except EOFError:
                ask = None
        note = conductor.take_words(said)
        if note:
            say(which + say_noted(note, said, span_of(conductor.plan.part)))
        run, is_kept = conductor.finish(said.is_clean, note), conductor.is_kept
        if note and run.is_clean is None:
            say(which + NO_VERDICT)
        say(which + say_kept(run, is_kept=is_kept))


def _count_in(gauge: Gauge) -> Iterator[TimedLine]:
    """Count the beats before the first."""
    for due, (felt_beat, _) in zip(gauge.dues[:-1], gauge.felt_beats, strict=True):
        if due < gauge.first_beat:
            yield TimedLine(due, f"{felt_beat}")


def _bar_lines(gauge: Gauge) -> Iterator[TimedLine]:
    """Name each bar as it begins."""
    for bar in gauge.plan.part.bars:
        says = f"bar {bar.number}" if bar.number else "pickup"
        yield TimedLine(gauge.plan.tempo_map.seconds_at(bar.onset), says)


def _prompts(gauge: Gauge) -> Iterator[TimedLine]:
    """Say each prompt."""
    for prompt in gauge.plan.prompts:
        yield TimedLine(prompt.at, f"  {prompt.say}")


def _breaths(gauge: Gauge) -> Iterator[TimedLine]:
    """Say when each breath is due."""
    for breath in gauge.plan.breaths.breaths:
        says = f"{'breathe' if breath.kind == 'full' else 'top off'} now"
        yield TimedLine(
            breath.start, f"  {f'({says})' if breath.is_optional else says}"
        )
