"""The reach: at which tempos the phrase works, and with how many breaths."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, ClassVar, Protocol

from textual import work
from textual.binding import Binding
from textual.worker import get_current_worker

from coach.errors import CoachError
from coach.planning.naming import say_count
from coach.planning.reach_words import say_reach
from coach.screens.coach_screen import PRACTICE_CSS, CoachScreen
from coach.screens.phrase.reach_plot import ReachPlot
from coach.screens.tempo_words import say_tempo
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_table import scrolling, shown
from coach.screens.widgets.text_lines import Line, Words

if TYPE_CHECKING:
    from textual.app import ComposeResult

    from coach.conductor import Conductor
    from coach.planning.edits import Edits
    from coach.planning.reach import Reach, ReachPoint
    from coach.score.phrase import Part

PERCENT = 100
MOST_ROWS_SHARE = 0.3
"""Of the screen's rows, so many may answer where the air runs out."""


class ReachNeeds(Protocol):
    """At which tempos a part works."""

    def reach(self, part: Part, edits: Edits) -> Reach:
        """Plan at many tempos (slow)."""
        ...


class ReachScreen(CoachScreen[ReachNeeds]):
    """The answer in a sentence, lowest air over tempo, and what each tempo asks for.

    Parameters
    ----------
    dry : sequence of str
        Where the air runs out at the tempo at hand, and what would do.
    """

    CSS_PATH = PRACTICE_CSS
    ABOUT = "The reach: how slow it may go before the air is not enough."
    KEYS: ClassVar[Sequence[Binding]] = (
        shown("escape,q,enter,r,space", "dismiss", "back", "Back to the phrase"),
        *scrolling(),
    )

    def __init__(
        self, part: Part, conductor: Conductor, dry: Sequence[str] = ()
    ) -> None:
        super().__init__()
        self._part = part
        self._dry = dry
        self._conductor = conductor

    def compose_body(self) -> ComposeResult:
        """Heading, the answer, columns, table."""
        yield Heading(self.signs)
        yield Words(self.signs, id="answer")
        yield ReachPlot(self.signs)
        yield Words(self.signs, id="tempos")

    def on_mount(self) -> None:
        """Plan at many tempos without holding up the screen."""
        super().on_mount()
        self.query_one(Heading).show_heading(self._part.title, "reach")
        self.query_one("#answer", Words).show_lines(
            [Line("planning at many tempos …", "quiet")]
        )
        self.find_reach()

    @work(thread=True, exclusive=True, group="reach")
    def find_reach(self) -> None:
        """Plan at many tempos."""
        worker = get_current_worker()
        try:
            reach = self.studio.reach(self._part, self._conductor.edits)
        except CoachError as error:
            self.call_later(self.tell_error, error)
            return
        if not worker.is_cancelled:
            self.call_later(self.show_reach, reach)

    def show_reach(self, reach: Reach) -> None:
        """Show the curve and a line a tempo."""
        points = reach.points
        beat = self._part.tempo.beat
        tempos = [say_tempo(point.bpm, beat, self.signs) for point in points]
        answer = say_reach(reach)
        words = self.query_one("#answer", Words)
        words.show_lines([Line(answer, "strong"), *map(Line, self._dry)])
        words.grow_to(MOST_ROWS_SHARE if self._dry else 0.0)
        self.query_one(ReachPlot).show_reach(reach)
        now = self._conductor.wishes.bpm
        lines = [
            Line(
                say_point(point),
                "strong" if abs(point.bpm - now) < 1 else "plain",
                tempo,
            )
            for point, tempo in zip(points, tempos, strict=True)
        ]
        self.query_one("#tempos", Words).show_lines(lines, lead_width=8)

    def action_turn(self, rows: int) -> None:
        """Scroll the table."""
        self.query_one("#tempos", Words).scroll_rows(rows)


def say_point(point: ReachPoint) -> str:
    """Say how one tempo does."""
    if not point.works:
        return "the air does not last"
    breaths = say_count(point.breaths, "breath")
    return f"{breaths}, lowest air {point.lowest_air * PERCENT:.0f} %"
