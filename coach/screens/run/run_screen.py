"""The run: how much air, when to breathe, where we are, what comes next.

The screen is never the clock.  Every picture asks the conductor what is heard now;
a slow terminal loses pictures, never beats.  Long, since every key of a run ends here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.binding import Binding
from textual.worker import get_current_worker

from coach.errors import CoachError
from coach.rehearsal.gear.gear import (
    ClickAwaited,
    ClickSent,
    GearLost,
    LevelHeard,
    PedalPressed,
    SoundHeard,
)
from coach.rehearsal.hearing.following.told import RunTold, StartHeard
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run_states import State
from coach.rehearsal.stand.stand import MOST_NOTES
from coach.score.page_facts import span_of
from coach.screens.coach_screen import PRACTICE_CSS, CoachScreen
from coach.screens.run.air_gauge import AirGauge
from coach.screens.run.next_run_words import (
    as_played,
    say_how,
    say_next,
    say_title,
    say_where,
)
from coach.screens.run.next_wishes import NEXT_WISHES, Wish, runs_in_a_row
from coach.screens.run.run_keys import RUN_KEYS
from coach.screens.run.run_needs import RunNeeds
from coach.screens.run.run_panel import RUNNING, RunPanel
from coach.screens.settings import run_look
from coach.screens.staff.legend import legend_lines
from coach.screens.staff.staff_strip import StaffStrip
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_bar import KeyBar

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.timer import Timer

    from coach.conductor import Conductor
    from coach.planning.plan import Plan
    from coach.rehearsal.gear.gear import Fact
    from coach.rehearsal.learning.level_band import LevelBand
    from coach.rehearsal.run.gauge import Glance
    from coach.screens.widgets.text_lines import Line

GAUGE_EVERY = 2
"""The gauge moves slowly: it is drawn in every second picture."""


class RunScreen(CoachScreen[RunNeeds]):
    """One rehearsal of an etude or a segment of it."""

    CSS_PATH = PRACTICE_CSS
    ABOUT = "The run: play with the click; press a key at the beat that goes wrong."
    KEYS: ClassVar[Sequence[Binding]] = RUN_KEYS

    def __init__(self, conductor: Conductor) -> None:
        super().__init__()
        self._conductor = conductor
        self._timer: Timer | None = None
        self._state = conductor.state
        self._plan: Plan | None = None
        self._band: LevelBand | None = None
        self._is_rest_due = False
        self._is_gauge_hidden = False
        self._pictures = 0

    def compose_body(self) -> ComposeResult:
        """Put gauge, panel and staff one over the other."""
        empty = self._conductor.gauge.empty_air
        yield Heading(self.signs)
        yield AirGauge(self.signs, empty=empty)
        yield RunPanel(self.signs)
        yield StaffStrip(self.signs, empty=empty, engraver=self.studio.engraver())

    def on_mount(self) -> None:
        """Stand ready; pictures are drawn only while something moves."""
        super().on_mount()
        self._do(self._conductor.open_ear)
        self._timer = self.set_interval(run_look().frame_s, self.frame, pause=True)
        self._wake()

    @property
    def keeps_at_end(self) -> bool:
        """Tell whether a run is to come to its end."""
        return self._state is not State.READY

    def on_unmount(self) -> None:
        """Let nothing sound on, and no run without its word."""
        self._conductor.shut_ear()
        self.keep_at_end(self._conductor.close)

    def take_fact(self, fact: Fact) -> None:
        """Take what the gear says; a click that went out changes no picture."""
        if isinstance(fact, StartHeard) and not self.is_active:
            return
        try:
            self._conductor.on_fact(fact)
        except CoachError as error:
            self.tell_error(error)
        if isinstance(fact, ClickSent | LevelHeard | SoundHeard):
            return
        self._wake()
        if isinstance(fact, GearLost):
            self.tell(fact.message, is_wrong=not fact.is_back)
        elif isinstance(fact, ClickAwaited | PedalPressed | RunTold):
            self.tell(self._conductor.notice)

    def on_key(self) -> None:
        """Take the sound of a key on the laptop for no knock."""
        self._conductor.pass_over_key()

    def frame(self) -> None:
        """Draw one picture of what is heard now."""
        conductor = self._conductor
        try:
            state = conductor.tick()
        except CoachError as error:
            self.tell_error(error)
            state = conductor.state
        if state is not self._state:
            self._changed(state)
        self._show_glance(conductor.glance())

    def _wake(self) -> None:
        """Show how things stand now, and move on if something moves."""
        self.frame()
        self._show_heading()

    def _changed(self, state: State) -> None:
        """Start or stop the pictures; ask for a word when a run has ended."""
        self._state = state
        self._is_rest_due = False
        if state is State.COUNTING_IN:
            self.tell("")  # what was said of the run before is not true of this one
        if self._timer is not None:
            if state in (State.READY, State.ENDED):
                self._timer.pause()
            else:
                self._timer.resume()
        self._show_heading()
        if state in (State.READY, State.ENDED):
            self.call_after_refresh(self.studio.use_pause)
        if state is State.ENDED:
            self._ask_for_word()

    def _ask_for_word(self) -> None:
        from coach.screens.after.after_screen import AfterScreen

        self.tell("")
        self.app.push_screen(AfterScreen(self._conductor), self._after)

    def _after(self, goes_on: bool | None) -> None:
        """Go on, or stand ready again and say for what; a rest that is due is shown."""
        if goes_on:
            self._do(self._conductor.start)
            return
        self._wake()
        advice = self._conductor.advice()
        self._is_rest_due = advice.kind == "rest"
        self.frame()
        next_run = say_next(self._conductor, self.signs)
        last = self._conductor.last_run
        if last is not None and last.is_completed and last.is_clean is None:
            next_run = f"No word on that run. {next_run}"
        self.tell(advice.why if self._is_rest_due else next_run)

    def _show_glance(self, glance: Glance) -> None:
        """Show one moment on every widget."""
        conductor = self._conductor
        is_running = self._state in RUNNING
        plan = conductor.plan
        strip = self.query_one(StaffStrip)
        if plan is not self._plan:
            self._plan = plan
            self._band = self.studio.level_band(plan)
            strip.show_plan(plan, is_read=is_running)
            if self._state is State.READY and not conductor.knows_optional:
                self.tell_sure(conductor.plan_in_time)
        strip.show_place(plan.tempo_map.beats_at(glance.time), glance.note)
        strip.show_marks(conductor.marks)
        self._pictures += 1
        if not is_running or self._pictures % GAUGE_EVERY == 0:
            self._show_air(glance)
        self.query_one(RunPanel).show_glance(
            conductor, self._state, glance, is_rest_due=self._is_rest_due
        )

    def _show_air(self, glance: Glance) -> None:
        """Show the air, and between what it may lie as far as runs have told."""
        band = None if self._band is None else self._band.levels_at(glance.time)
        self.query_one(AirGauge).show_air(
            glance.air, glance.air_at_next_breath, glance.seconds_left, band
        )

    @work(thread=True, exclusive=True, group="sure")
    def tell_sure(self, plan: Plan) -> None:
        """Tell optional breaths before the run, where that takes no seconds."""
        if len(plan.part.notes) > MOST_NOTES:
            return
        try:
            told = self._conductor.tell_sure(plan)
        except CoachError as error:
            self.call_later(self.tell_error, error)
            return
        if not get_current_worker().is_cancelled:
            self.call_later(self._take_sure, told)

    def _take_sure(self, told: Plan) -> None:
        """Show which breaths are optional."""
        self._conductor.take_sure(told)
        self.frame()

    def _show_heading(self) -> None:
        """Tell what is played and how; between runs what the next one will be."""
        conductor = self._conductor
        is_running = self._state in RUNNING
        wishes = as_played(conductor) if is_running else conductor.wishes
        row = None if self._state is State.READY else conductor.run_in_a_row
        self.query_one(Heading).show_heading(
            say_title(conductor, self.signs),
            say_where(wishes, conductor.part.tempo.beat, self.signs),
            say_how(wishes, row, is_silent=conductor.is_silent),
        )

    def tell(self, words: str, *, is_wrong: bool = False, stays: bool = False) -> None:
        """Show a line in the place of the keys, so that nothing moves.

        It goes by itself: in a run nobody has a hand free to send it away.
        """
        self.query_one(KeyBar).show_words(words, is_wrong=is_wrong, stays=stays)

    def _do(self, act: Callable[[], object], words: str | None = "") -> None:
        """Do something; say some words then, or (for None) what was done."""
        try:
            act()
        except CoachError as error:
            self.tell_error(error)
            return
        self._wake()
        said = self._conductor.notice if words is None else words
        self.tell(said)

    def _do_next(self, act: Callable[[], object], words: str | None = None) -> None:
        """Change the next run; while one plays, say that it waits for that."""
        self._do(act, words)
        said = self._conductor.notice if words is None else words
        if self._conductor.state in RUNNING:
            self.tell(f"{said}, from the next run on")

    def action_start_stop(self) -> None:
        """Count in and play, or stop."""
        conductor = self._conductor
        is_ready = conductor.state is State.READY
        self._do(conductor.start if is_ready else conductor.stop)

    def action_again(self) -> None:
        """Begin again at once."""
        self._do(self._conductor.again)

    def action_mark(self, kind: str) -> None:
        """Mark the beat that is meant, or note a breath more or less."""
        self._do(lambda: self._conductor.mark(MarkKind(kind)), None)

    def action_take_back(self) -> None:
        """Take the last mark back."""
        self._do(self._conductor.take_back_mark, None)

    def action_tempo(self, notches: int) -> None:
        """Change the tempo."""
        self._do_next(lambda: self._conductor.step_tempo(notches))

    def action_segment(self, steps: int) -> None:
        """Go to the next segment or the one before."""
        conductor = self._conductor
        self._do_next(
            conductor.next_segment if steps > 0 else conductor.previous_segment
        )

    def action_resize(self, bars: int) -> None:
        """Make the segment longer or shorter."""
        wishes = self._conductor.wishes
        last = span_of(self._conductor.part)[1]
        to_bar = max(wishes.from_bar, min(last, wishes.to_bar + bars))
        self._do_next(lambda: self._conductor.set_segment(wishes.from_bar, to_bar))

    def action_whole(self) -> None:
        """Rehearse the whole etude."""
        self._do_next(self._conductor.set_whole)

    def action_wish(self, name: str) -> None:
        """Take the next answer to one question of how the next run is to be."""
        wish = NEXT_WISHES[name](self._conductor.wishes)
        self._ask_for(wish)

    def _ask_for(self, wish: Wish) -> None:
        """Ask for something: in the run that plays too, where that can be."""
        do = self._do if wish.holds_at_once else self._do_next
        do(lambda: self._conductor.set_wishes(wish.wishes), wish.words)

    def action_hide_gauge(self) -> None:
        """Hide the gauge, or show it."""
        self._is_gauge_hidden = not self._is_gauge_hidden
        self.query_one(AirGauge).hide_level(is_hidden=self._is_gauge_hidden)

    def action_runs(self, count: int) -> None:
        """Play so many runs in a row."""
        self._ask_for(runs_in_a_row(self._conductor.wishes, count))

    def tell_signs(self) -> Sequence[Line]:
        """Give what the signs of the staff mean."""
        return legend_lines(self.signs)

    def stop_playing(self) -> None:
        """Stop, since the player leaves for a while."""
        self._do(self._conductor.stop)

    def action_back(self) -> None:
        """Stop; where a run was played, say a word on it first."""
        self._do(self._conductor.stop)
        if self._state is State.READY:
            self.dismiss()
