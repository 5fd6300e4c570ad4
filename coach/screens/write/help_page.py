"""How an etude is typed, on one page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import Binding

from coach.score.abc.new_tune import TWELVE_THINGS
from coach.screens.coach_screen import CoachScreen
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_table import scrolling, shown
from coach.screens.widgets.text_lines import Line, Words

EXAMPLE_WIDTH = 27


class HelpPage(CoachScreen[object]):
    """Twelve things that an etude needs, each with an example."""

    ABOUT = "How to type an etude."
    KEYS: ClassVar[Sequence[Binding]] = (
        shown("escape,enter,space,f1,q", "put_away", "back to the etude"),
        *scrolling(),
    )

    def on_mount(self) -> None:
        """Show the page."""
        super().on_mount()
        self.query_one(Heading).show_heading("how to type an etude")
        lines = [Line(what, lead=example) for what, example in TWELVE_THINGS]
        self.query_one(Words).show_lines(lines, lead_width=EXAMPLE_WIDTH)

    def action_turn(self, rows: int) -> None:
        """Scroll."""
        self.query_one(Words).scroll_rows(rows)

    def action_put_away(self) -> None:
        """Go back."""
        self.dismiss(None)
