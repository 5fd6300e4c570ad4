"""Measure how late the microphone hears the click: say what happens, do it, tell."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar, Protocol

from textual import work
from textual.binding import Binding
from textual.worker import get_current_worker

from coach.errors import CoachError
from coach.rehearsal.gear.gear import Fact, LevelHeard
from coach.screens.coach_screen import CoachScreen
from coach.screens.set_up.level_words import say_level
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_table import shown
from coach.screens.widgets.text_lines import Line, Words

if TYPE_CHECKING:
    from collections.abc import Callable

    from coach.rehearsal.hearing.calibration import Calibration

BEFORE = (
    "Clicks will sound for about ten seconds, not loud. The coach listens how late "
    "they are heard, and allows for that from then on.",
    "",
    "Loudspeaker: put the microphone near it. Headphones: take them off, and hold one "
    "cup to the microphone.",
    "",
    "Keep quiet meanwhile. Enter begins.",
)
BAR_CELLS = 24
MS = 1000.0


class CalibrationNeeds(Protocol):
    """How late the microphone hears the click."""

    def calibrate(self, go_on: Callable[[float], bool]) -> Calibration | None:
        """Play clicks, hear them, and keep how late they are heard (slow).

        `go_on` is told again and again what share of it is done, and says whether it
        is wanted still; None when it was not.
        """
        ...


class CalibrateScreen(CoachScreen[CalibrationNeeds]):
    """A sentence on what will happen, then how far it is, then what was measured."""

    ABOUT = "Measure how late the microphone hears the click."
    KEYS: ClassVar[Sequence[Binding]] = (
        shown("space,enter", "begin", "begin", "Play clicks and hear them"),
        shown("escape,q", "leave", "give up", "End the clicks and go back"),
    )

    def __init__(self) -> None:
        super().__init__()
        self._lines: tuple[Line, ...] = tuple(Line(words) for words in BEFORE)
        self._done: float | None = None
        self._level: LevelHeard | None = None

    def on_mount(self) -> None:
        """Say what will happen."""
        super().on_mount()
        self.query_one(Heading).show_heading("gear", "how late the microphone hears")
        self._show()

    def take_fact(self, fact: Fact) -> None:
        """Show how loud the microphone hears the clicks."""
        if isinstance(fact, LevelHeard):
            self._level = fact
            self._show()

    def action_begin(self) -> None:
        """Begin, unless it is going on."""
        if self._done is None:
            self._show_progress(0.0)
            self._calibrate()

    def action_leave(self) -> None:
        """Give up, and go back to the gear."""
        self.workers.cancel_node(self)
        self.dismiss()

    @work(thread=True, exclusive=True, group="calibrate")
    def _calibrate(self) -> None:
        """Measure without holding up the screen."""
        worker = get_current_worker()

        def go_on(done: float) -> bool:
            if not worker.is_cancelled:
                self.call_later(self._show_progress, done)
            return not worker.is_cancelled

        try:
            made = self.studio.calibrate(go_on)
        except CoachError as error:
            if not worker.is_cancelled:
                self.call_later(self._show_refusal, error)
            return
        if made is not None and not worker.is_cancelled:
            self.call_later(self._show_result, made)

    def _show_progress(self, done: float) -> None:
        """Show what share is done."""
        self._done = done
        self.tell("")
        cells = round(done * BAR_CELLS)
        full, empty = ("#", ".") if self.signs.is_plain else ("█", "░")
        bar = full * cells + empty * (BAR_CELLS - cells)
        self._lines = (Line("listening to clicks …"), Line(bar, "strong"))
        self._show()

    def _show_result(self, made: Calibration) -> None:
        """Tell what was measured."""
        self._end(
            Line(
                f"A click is heard {made.whole * MS:.1f} ms after it is made; "
                f"{made.trip.heard} of {made.played} clicks agree within "
                f"{made.trip.spread * MS:.1f} ms.",
                "strong",
            ),
            Line(
                f"Kept for “{made.output}” heard by “{made.microphone}”, and allowed "
                "for from now on."
            ),
            Line("Enter measures again, escape goes back.", "quiet"),
        )

    def _show_refusal(self, error: CoachError) -> None:
        """Tell why nothing was measured, and what to do about it."""
        self._end(
            Line("Nothing is kept. Enter measures again, escape goes back.", "quiet")
        )
        self.tell_error(error)

    def _end(self, *lines: Line) -> None:
        """Show lines of a measurement that is over."""
        self._done = None
        self._lines = lines
        self._show()

    def _show(self) -> None:
        lines = list(self._lines)
        if self._level is not None:
            level = say_level(self._level, is_plain=self.signs.is_plain)
            lines += [Line(""), Line(level, "quiet")]
        self.query_one(Words).show_lines(lines)
