"""What is seen from afar in a run: what to do, the note ahead, the beat, the bar."""

from __future__ import annotations

from dataclasses import replace
from math import ceil
from typing import TYPE_CHECKING

from textual.containers import Horizontal, Vertical

from coach.rehearsal.run.run_states import State
from coach.screens.run.bar_number import BarNumber
from coach.screens.run.beat_ball import BeatBall
from coach.screens.run.countdown import Countdown, Cue
from coach.screens.run.cues import cue_of
from coach.screens.run.next_note import NextNote, say_note_ahead, word_of_place
from coach.screens.run.next_run_words import say_start

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from coach.conductor import Conductor
    from coach.rehearsal.run.gauge import Glance
    from coach.screens.signs import Signs

REST_DUE = Cue("rest", None, ("REST",), "lips and arm rest; space plays on after it")

RUNNING = (State.COUNTING_IN, State.PLAYING)


class RunPanel(Horizontal):
    """The cue at the left, note ahead and beat in the middle, the bar at the right."""

    def __init__(self, signs: Signs) -> None:
        super().__init__(id="panel")
        self._signs = signs

    def compose(self) -> ComposeResult:
        """Put them side by side."""
        yield Countdown(self._signs)
        with Vertical(id="ahead"):
            yield NextNote(self._signs)
            yield BeatBall(self._signs)
        yield BarNumber(self._signs)

    def show_glance(
        self,
        conductor: Conductor,
        state: State,
        glance: Glance,
        *,
        is_rest_due: bool = False,
    ) -> None:
        """Show one moment of a run; before one, whether a rest comes first."""
        is_running = state in RUNNING
        is_rest = is_rest_due and state is State.READY
        cue = REST_DUE if is_rest else _cue(conductor, state, glance)
        self.query_one(Countdown).show_cue(cue)
        self.query_one(BeatBall).show_beat(
            glance.felt_beat if is_running else 0, glance.felt_beats, glance.beat_phase
        )
        ahead_of = glance.time if is_running else conductor.track.starts
        self.query_one(NextNote).show_note(
            *say_note_ahead(conductor.gauge, ahead_of, self._signs),
            word_of_place(conductor.gauge.plan.instrument),
        )
        bars = conductor.segment.part.bars
        self.query_one(BarNumber).show_bar(
            glance.bar if not glance.is_counting_in else bars[0].number,
            bars[-1].number,
            f"beat {glance.whole_beat}",
        )


def _cue(conductor: Conductor, state: State, glance: Glance) -> Cue:
    """Choose what the countdown says."""
    if state is State.READY:
        return Cue("ready", None, ("READY",), say_start(conductor))
    if state is State.RESTING:
        left = ceil(conductor.rest_left)
        return Cue("rest", left, ("REST",), f"{left} seconds of rest")
    if glance.time < conductor.track.starts:
        return Cue("ready", None, ("READY",), "the click is coming")
    cue = cue_of(glance, conductor.plan)
    if cue.kind == "count" and conductor.is_silent:
        return replace(cue, say="no sound: watch the beat, and fill up")
    return cue
