"""The run: how much air, when to breathe, where we are, what comes next.

The screen is never the clock.  Every picture asks the conductor what is heard now;
a slow terminal loses pictures, never beats.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding
from textual.containers import Horizontal

from coach.errors import CoachError
from coach.rehearsal.ladder import WORDS
from coach.rehearsal.run import Mark, MarkKind
from coach.rehearsal.session import State
from coach.screens.coach_screen import CoachScreen
from coach.screens.cues import cue_of, say_beat
from coach.screens.settings import run_look
from coach.screens.widgets.air_gauge import AirGauge
from coach.screens.widgets.bar_number import BarNumber
from coach.screens.widgets.beat_ball import BeatBall
from coach.screens.widgets.countdown import Countdown, Cue
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_bar import KeyBar
from coach.screens.widgets.staff_strip import StaffStrip

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.timer import Timer

    from coach.conductor import Conductor
    from coach.planning.plan import Plan
    from coach.rehearsal.gauge import Glance
    from coach.rehearsal.gear import Fact

SUBDIVISIONS = (1, 2, 3, 4)
RESTS_S = (0.0, 5.0, 15.0, 30.0)
MOST_COUNT_IN_BARS = 2
MOST_LEAD_IN_BARS = 2
MS = 1000


class RunScreen(CoachScreen):
    """One rehearsal of an etude or a segment of it."""

    ABOUT = "The run: play with the click; press a key at the beat that goes wrong."
    KEYS: ClassVar[Sequence[Binding]] = (
        Binding(
            "space",
            "start_stop",
            "start/stop",
            tooltip="Count in and play; stop and keep the run as cut off",
        ),
        Binding(
            "o",
            "mark('ran-out')",
            "out of air",
            tooltip="Mark this beat: the air ran out",
        ),
        Binding(
            "r",
            "mark('rushed')",
            "rushed",
            tooltip="Mark this beat: ahead of the click",
        ),
        Binding(
            "d",
            "mark('dragged')",
            "dragged",
            tooltip="Mark this beat: behind the click",
        ),
        Binding(
            "m",
            "mark('missed')",
            "missed",
            tooltip="Mark this beat: a wrong or missing note",
        ),
        Binding(
            "b",
            "breathed",
            "breathed",
            tooltip="I breathed here: gauge and prompts are made anew",
        ),
        Binding(
            "n",
            "no_breath",
            "no breath",
            tooltip="I missed the breath: gauge and prompts are made anew",
        ),
        Binding(
            "plus,equals_sign,up",
            "tempo(1)",
            "faster",
            show=False,
            tooltip="One notch faster, from the next run on",
        ),
        Binding(
            "minus,down",
            "tempo(-1)",
            "slower",
            show=False,
            tooltip="One notch slower, from the next run on",
        ),
        Binding(
            "a",
            "again",
            "again",
            show=False,
            tooltip="Cut this run off and begin again at once",
        ),
        Binding(
            "backspace",
            "take_back",
            "take back a mark",
            show=False,
            tooltip="Take the last mark back",
        ),
        Binding(
            "right",
            "segment(1)",
            "next segment",
            show=False,
            tooltip="The bars that follow, or the next breath",
        ),
        Binding(
            "left",
            "segment(-1)",
            "segment before",
            show=False,
            tooltip="The bars before, or the breath before",
        ),
        Binding(
            "right_square_bracket",
            "resize(1)",
            "longer segment",
            show=False,
            tooltip="One bar more",
        ),
        Binding(
            "left_square_bracket",
            "resize(-1)",
            "shorter segment",
            show=False,
            tooltip="One bar less",
        ),
        Binding("w", "whole", "whole etude", show=False, tooltip="Rehearse all of it"),
        Binding(
            "v",
            "by_breath",
            "by breath or bars",
            show=False,
            tooltip="Segments go from breath to breath, or by bars",
        ),
        Binding(
            "i",
            "lead_in",
            "lead-in",
            show=False,
            tooltip="Play 0, 1 or 2 bars before the segment",
        ),
        Binding(
            "j",
            "overlap",
            "into the next downbeat",
            show=False,
            tooltip="Play on into the next downbeat, or end with the segment",
        ),
        Binding(
            "s",
            "subdivide",
            "subdivisions",
            show=False,
            tooltip="Click the beat alone, or 2, 3, 4 to a beat",
        ),
        Binding(
            "c",
            "count_in",
            "count-in",
            show=False,
            tooltip="Count in one bar, two, or none",
        ),
        Binding(
            "u",
            "guide",
            "guide notes",
            show=False,
            tooltip="Hear the line, silent where you breathe",
        ),
        Binding(
            "h",
            "hide_gauge",
            "hide the gauge",
            show=False,
            tooltip="Hide the gauge, to test yourself",
        ),
        Binding(
            "l",
            "ladder",
            "ladder",
            show=False,
            tooltip="Let the tempo move by itself between runs in a row",
        ),
        *(
            Binding(
                str(n),
                f"runs({n})",
                "runs in a row",
                show=False,
                tooltip="Play that many runs in a row",
            )
            for n in range(1, 10)
        ),
        Binding(
            "e",
            "rest",
            "rest between runs",
            show=False,
            tooltip="Rest 0, 5, 15 or 30 seconds between runs in a row",
        ),
        Binding(
            "escape", "back", "back", show=False, tooltip="Stop, and back to the phrase"
        ),
    )

    def __init__(self, conductor: Conductor) -> None:
        super().__init__()
        self._conductor = conductor
        self._timer: Timer | None = None
        self._state = conductor.state
        self._plan: Plan | None = None
        self._is_gauge_hidden = False
        self._words = ""

    def compose_body(self) -> ComposeResult:
        """Gauge, panel and staff, one over the other."""
        yield Heading(self.signs)
        yield AirGauge(self.signs, empty=self._conductor.gauge.empty_air)
        with Horizontal(id="panel"):
            yield Countdown(self.signs)
            yield BeatBall(self.signs)
            yield BarNumber(self.signs)
        yield StaffStrip(self.signs)

    def on_mount(self) -> None:
        """Stand ready; pictures are drawn only while something moves."""
        super().on_mount()
        self._timer = self.set_interval(run_look().frame_s, self.frame, pause=True)
        self._wake()

    def on_unmount(self) -> None:
        """Let nothing sound on."""
        self._conductor.stop()

    def take_fact(self, fact: Fact) -> None:
        """Take what the gear says."""
        self._conductor.on_fact(fact)
        self._wake()

    def frame(self) -> None:
        """Draw one picture of what is heard now."""
        conductor = self._conductor
        state = conductor.tick()
        if state is not self._state:
            self._changed(state)
        self._show_glance(conductor.glance())

    def _wake(self) -> None:
        """Show how things stand now, and move on if something moves."""
        self.frame()
        self._show_heading()

    def _changed(self, state: State) -> None:
        """Start or stop the pictures; ask for a word when a run has ended."""
        before, self._state = self._state, state
        if self._timer is not None:
            if state in (State.READY, State.ENDED):
                self._timer.pause()
            else:
                self._timer.resume()
        self._show_heading()
        if state is State.ENDED and before is not State.ENDED:
            self._ask_for_word()

    def _ask_for_word(self) -> None:
        from coach.screens.after_screen import AfterScreen

        self.app.push_screen(AfterScreen(self._conductor), self._after)

    def _after(self, wish: str | None) -> None:
        """Do what the player chose after the run."""
        self._say("")
        if wish == "start":
            self._try(self._conductor.start)
        self._wake()

    def _show_glance(self, glance: Glance) -> None:
        """Show one moment on every widget."""
        conductor = self._conductor
        plan = conductor.plan
        strip = self.query_one(StaffStrip)
        if plan is not self._plan:
            self._plan = plan
            strip.show_plan(plan)
        place = plan.tempo_map.beats_at(glance.time)
        strip.show_place(place, glance.note)
        strip.show_marks(conductor.marks)
        self.query_one(AirGauge).show_air(
            glance.air, glance.air_at_next_breath, glance.seconds_left
        )
        self.query_one(Countdown).show_cue(self._cue(glance))
        is_running = self._state in (State.COUNTING_IN, State.PLAYING)
        self.query_one(BeatBall).show_beat(
            glance.pulse if is_running else 0, glance.pulses, glance.beat_phase
        )
        bars = conductor.segment.bars
        self.query_one(BarNumber).show_bar(
            glance.bar if not glance.is_counting_in else bars[0].number,
            f"to {bars[-1].number} {self.signs.bullet} beat {say_beat(glance.beat)}",
        )

    def _cue(self, glance: Glance) -> Cue:
        """Choose what the countdown says."""
        if self._state is State.READY:
            return Cue("ready", None, "space starts the count-in")
        if self._state is State.RESTING:
            left = int(self._conductor.rest_left + 1)
            return Cue("rest", left, "seconds of rest")
        return cue_of(glance, self._conductor.plan)

    def _show_heading(self) -> None:
        """Tell what is played and how."""
        conductor = self._conductor
        wishes, signs = conductor.wishes, self.signs
        words = [
            f"bars {wishes.from_bar} to {wishes.to_bar}",
            f"{signs.quarter} {wishes.bpm:g}",
        ]
        if wishes.runs_in_a_row > 1:
            words.append(f"{wishes.runs_in_a_row} in a row")
        if wishes.is_ladder_on:
            words.append("ladder")
        if wishes.segment_by == "breath":
            words.append("by breath")
        if wishes.click.subdivision > 1:
            words.append(f"click in {wishes.click.subdivision}")
        if wishes.click.guide:
            words.append("guide")
        self.query_one(Heading).show_heading(
            conductor.part.title, f" {signs.bullet} ".join(words)
        )
        if conductor.notice:
            self._say(conductor.notice)

    def tell(self, words: str, *, is_wrong: bool = False) -> None:
        """Show a line in the place of the keys, so that nothing moves."""
        self.query_one(KeyBar).show_words(words, is_wrong=is_wrong)

    def _say(self, words: str) -> None:
        self._words = words
        self.tell(words)

    def _try(self, act: object, *args: object) -> None:
        """Do something that may not be possible, and say so if it is not."""
        self._say("")
        if not callable(act):
            return
        try:
            act(*args)
        except CoachError as error:
            self.tell_error(error)
        self._wake()

    def action_start_stop(self) -> None:
        """Count in and play, or stop."""
        if self._conductor.state is State.READY:
            self._try(self._conductor.start)
        else:
            self._try(self._conductor.stop)

    def action_again(self) -> None:
        """Begin again at once."""
        self._try(self._conductor.again)

    def action_mark(self, kind: str) -> None:
        """Mark the beat that is meant: a reaction time before the key."""
        conductor = self._conductor
        heard = conductor.glance().time
        mark = conductor.mark(MarkKind(kind))
        if mark is None:
            self._say("marks count while a run plays")
            return
        self.query_one(StaffStrip).show_marks(conductor.marks)
        self._say(say_mark(mark, heard - mark.at))

    def action_take_back(self) -> None:
        """Take the last mark back."""
        if self._conductor.marks:
            self._conductor.take_back_mark()
            self._say("mark taken back")
            self._wake()

    def action_breathed(self) -> None:
        """Note a breath that the plan did not have."""
        self._try(self._conductor.breathed)
        self._say("breathed here: planned anew")

    def action_no_breath(self) -> None:
        """Note that the planned breath was not taken."""
        self._try(self._conductor.missed_breath)
        self._say("breath missed: planned anew")

    def action_tempo(self, notches: int) -> None:
        """Change the tempo."""
        self._try(self._conductor.step_tempo, notches)
        self._say_next(f"{self.signs.quarter} {self._conductor.wishes.bpm:g}")

    def _say_next(self, words: str) -> None:
        """Say a wish; while a run plays it holds for the next one."""
        is_running = self._conductor.state in (State.COUNTING_IN, State.PLAYING)
        self._say(f"{words}, from the next run on" if is_running else words)

    def action_segment(self, steps: int) -> None:
        """Go to the next segment or the one before."""
        conductor = self._conductor
        self._try(conductor.next_segment if steps > 0 else conductor.previous_segment)
        self._say_bars()

    def action_resize(self, bars: int) -> None:
        """Make the segment longer or shorter."""
        wishes = self._conductor.wishes
        last = self._conductor.part.bars[-1].number
        to_bar = max(wishes.from_bar, min(last, wishes.to_bar + bars))
        self._try(self._conductor.set_segment, wishes.from_bar, to_bar)
        self._say_bars()

    def action_whole(self) -> None:
        """Rehearse the whole etude."""
        bars = self._conductor.part.bars
        self._try(self._conductor.set_segment, bars[0].number, bars[-1].number)
        self._say_bars()

    def _say_bars(self) -> None:
        wishes = self._conductor.wishes
        self._say_next(f"bars {wishes.from_bar} to {wishes.to_bar}")

    def _wish(self, words: str, **changes: object) -> None:
        """Change how the next run is to be."""
        wishes = replace(self._conductor.wishes, **changes)  # type: ignore[arg-type]
        self._try(self._conductor.set_wishes, wishes)
        self._say(words)

    def _wish_click(self, words: str, **changes: object) -> None:
        """Change the click, also while it runs."""
        click = replace(self._conductor.wishes.click, **changes)  # type: ignore[arg-type]
        self._wish(words, click=click)

    def action_by_breath(self) -> None:
        """Cut segments by breath or by bars."""
        by_breath = self._conductor.wishes.segment_by == "bars"
        self._wish(
            "segments go from breath to breath" if by_breath else "segments by bars",
            segment_by="breath" if by_breath else "bars",
        )

    def action_lead_in(self) -> None:
        """Play more or fewer bars before the segment."""
        bars = (self._conductor.wishes.lead_in_bars + 1) % (MOST_LEAD_IN_BARS + 1)
        self._wish(f"lead-in: {bars} bars" if bars else "no lead-in", lead_in_bars=bars)

    def action_overlap(self) -> None:
        """Play on into the next downbeat, or not."""
        overlaps = not self._conductor.wishes.overlaps
        words = "on into the next downbeat" if overlaps else "to the segment's end"
        self._wish(words, overlaps=overlaps)

    def action_subdivide(self) -> None:
        """Divide the beat differently."""
        now = self._conductor.wishes.click.subdivision
        parts = SUBDIVISIONS[(SUBDIVISIONS.index(now) + 1) % len(SUBDIVISIONS)]
        words = f"click {parts} to a beat" if parts > 1 else "click the beat"
        self._wish_click(words, subdivision=parts)

    def action_count_in(self) -> None:
        """Count in more or fewer bars."""
        bars = self._conductor.wishes.click.count_in_bars
        bars = (bars + 1) % (MOST_COUNT_IN_BARS + 1)
        words = f"count-in: {bars} bars" if bars else "no count-in"
        self._wish_click(words, count_in_bars=bars)

    def action_guide(self) -> None:
        """Play guide notes, or not."""
        is_on = not self._conductor.wishes.click.guide
        self._wish_click("guide notes on" if is_on else "guide notes off", guide=is_on)

    def action_hide_gauge(self) -> None:
        """Hide the gauge, or show it."""
        self._is_gauge_hidden = not self._is_gauge_hidden
        self.query_one(AirGauge).hide_level(is_hidden=self._is_gauge_hidden)

    def action_ladder(self) -> None:
        """Let the tempo move by itself, or not."""
        is_on = not self._conductor.wishes.is_ladder_on
        self._wish("ladder on" if is_on else "ladder off", is_ladder_on=is_on)

    def action_runs(self, count: int) -> None:
        """Play so many runs in a row."""
        words = f"{count} runs in a row" if count > 1 else "one run at a time"
        self._wish(words, runs_in_a_row=count)

    def action_rest(self) -> None:
        """Rest more or less between runs in a row."""
        now = float(self._conductor.wishes.rest)
        longer = [rest for rest in RESTS_S if rest > now]
        rest = longer[0] if longer else RESTS_S[0]
        self._wish(f"rest {rest:g} seconds" if rest else "no rest", rest=rest)

    def action_back(self) -> None:
        """Stop, and go back to the phrase."""
        if self._conductor.state in (State.COUNTING_IN, State.PLAYING):
            self._try(self._conductor.stop)
            if self._conductor.state is State.ENDED:
                return
        self.dismiss()


def say_mark(mark: Mark, before: float) -> str:
    """Say a mark, and that it was set before the key for the time it takes."""
    words = WORDS[mark.kind]
    where = f"{words} at bar {mark.bar}, beat {say_beat(mark.beat)}"
    return f"{where} (set {before * MS:.0f} ms before the key)"
