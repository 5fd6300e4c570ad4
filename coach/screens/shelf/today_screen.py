"""What to play today: etudes in turn, with rests, in the minutes that there are."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar, Protocol

from textual import work
from textual.binding import Binding
from textual.worker import get_current_worker

from coach.errors import CoachError
from coach.rehearsal.ahead.today import THEN
from coach.screens.coach_screen import CoachScreen
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_table import shown, walking
from coach.screens.widgets.text_lines import Line, Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from coach.rehearsal.ahead.today import Today, Turn

LEAST_MINUTES, MOST_MINUTES, STEP_MINUTES = 10.0, 240.0, 10.0
"""Minutes to choose from."""


class TodayNeeds(Protocol):
    """What there is to play today."""

    def plan_today(self, minutes: float | None) -> Today:
        """Lay out what to play in so many minutes; None for the usual time (slow)."""
        ...


class TodayScreen(CoachScreen[TodayNeeds]):
    """Turns of today; the one under the cursor can be opened."""

    ABOUT = "Today: what to play in the minutes that there are."
    KEYS: ClassVar[Sequence[Binding]] = (
        shown("space,enter", "open", "open", "Open the etude of this turn"),
        shown("plus,equals_sign", "more(1)", "longer", "Ten minutes more"),
        shown("minus", "more(-1)", "shorter", "Ten minutes less"),
        shown("escape,q,t", "dismiss", "back", "Back to the shelf"),
        *walking("turn"),
    )

    def __init__(self) -> None:
        super().__init__()
        self._today: Today | None = None
        self._minutes: float | None = None
        self._chosen = 0

    def compose_body(self) -> ComposeResult:
        """Heading and words."""
        yield Heading(self.signs)
        yield Words(self.signs)

    def on_mount(self) -> None:
        """Ask what to play."""
        super().on_mount()
        self.query_one(Heading).show_heading("today", "reading …")
        self.read_today(self._minutes)

    @work(thread=True, exclusive=True, group="today")
    def read_today(self, minutes: float | None) -> None:
        """Ask what to play, without holding up the screen."""
        worker = get_current_worker()
        try:
            today = self.studio.plan_today(minutes)
        except CoachError as error:
            if not worker.is_cancelled:
                self.call_later(self.tell_error, error)
            return
        if not worker.is_cancelled:
            self.call_later(self.show_today, today)

    def show_today(self, today: Today) -> None:
        """Show what to play."""
        works = (k for k, turn in enumerate(today.turns) if turn.work is not None)
        self._today, self._minutes, self._chosen = today, today.minutes, next(works, 0)
        self.query_one(Heading).show_heading("today", f"{today.minutes:.0f} minutes")
        self._show()

    @property
    def _turns(self) -> Sequence[Turn]:
        return self._today.turns if self._today is not None else ()

    def _show(self) -> None:
        """Show the turns, and of the chosen one why."""
        today = self._today
        if today is None:
            return
        lines = [Line(words, "quiet") for words in today.says]
        for k, turn in enumerate(today.turns):
            begins, ends = turn.minutes
            is_chosen = k == self._chosen
            tone = "chosen" if is_chosen else "quiet" if turn.work is None else "plain"
            lines.append(Line(turn.says, tone, f"{begins}-{ends}"))  # type: ignore[arg-type]
            if is_chosen and turn.kind == "play" and turn.work is not None:
                lines.append(Line(turn.work.advice.says, "quiet"))
        lines += [Line(enough, "quiet") for enough in today.enough]
        if today.turns:
            lines.append(Line(THEN, "quiet"))
        self.query_one(Words).show_lines(lines, lead_width=8)

    def action_move(self, steps: int) -> None:
        """Choose another turn."""
        if self._turns:
            last = len(self._turns) - 1
            self._chosen = max(0, min(last, self._chosen + steps))
            self._show()

    def action_more(self, steps: int) -> None:
        """Ask for more time or less."""
        if self._minutes is None:
            return
        minutes = self._minutes + steps * STEP_MINUTES
        self._minutes = max(LEAST_MINUTES, min(MOST_MINUTES, minutes))
        self.read_today(self._minutes)

    def action_open(self) -> None:
        """Open the etude of this turn."""
        turn = self._turns[self._chosen] if self._turns else None
        if turn is None or turn.work is None:
            return
        from coach.screens.phrase.phrase_screen import PhraseScreen

        self.app.switch_screen(PhraseScreen(turn.work.path, title=turn.work.title))
