"""What to take care of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding

from coach.errors import CoachError
from coach.screens.coach_screen import CoachScreen
from coach.screens.set_up.set_up_needs import CautionNeeds
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_table import hidden, shown
from coach.screens.widgets.text_lines import Line, Words

if TYPE_CHECKING:
    from textual.app import ComposeResult


class CautionsScreen(CoachScreen[CautionNeeds]):
    """Cautions with their sources, shown at the first start and under one key."""

    ABOUT = "What to take care of when you practise breathing."
    KEYS: ClassVar[Sequence[Binding]] = (
        shown("enter,space,escape,q", "put_away", "understood", "I have read this"),
        hidden("down,j", "turn(1)", "down"),
        hidden("up,k", "turn(-1)", "up"),
        hidden("pagedown", "turn(10)", "further down"),
        hidden("pageup", "turn(-10)", "further up"),
    )

    def compose_body(self) -> ComposeResult:
        """Heading and words."""
        yield Heading(self.signs)
        yield Words(self.signs)

    def on_mount(self) -> None:
        """Show the cautions."""
        super().on_mount()
        self.query_one(Heading).show_heading("take care")
        lines: list[Line] = []
        try:
            cautions = self.studio.list_cautions()
        except CoachError as error:
            self.tell_error(error)
            cautions = ()
        for caution in cautions:
            lines += [Line(caution.title, "title"), Line(caution.text)]
            if caution.source:
                lines.append(Line(caution.source, "quiet"))
            lines.append(Line(""))
        self.query_one(Words).show_lines(lines)

    def action_turn(self, rows: int) -> None:
        """Scroll."""
        self.query_one(Words).scroll_rows(rows)

    def action_put_away(self) -> None:
        """Remember that they were read."""
        memory = self.studio.read_memory()
        if not memory.has_seen_cautions:
            try:
                self.studio.save_memory(replace(memory, has_seen_cautions=True))
            except CoachError as error:
                self.tell_error(error)
                return
        self.dismiss(None)
