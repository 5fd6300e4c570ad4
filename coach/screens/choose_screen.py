"""Choose one of a few lines."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import on
from textual.binding import Binding

from coach.screens.coach_screen import CoachScreen
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_table import shown, walking
from coach.screens.widgets.text_lines import Line, Words


class ChooseScreen(CoachScreen[object]):
    """A question and its answers; gives the index of the answer, or None."""

    ABOUT = "Choose one."
    KEYS: ClassVar[Sequence[Binding]] = (
        shown("space,enter", "take", "choose", "Take what is chosen"),
        *walking("one"),
        shown("escape", "dismiss", "back", "Leave it as it was"),
    )

    def __init__(self, question: str, answers: Sequence[str], chosen: int = 0) -> None:
        super().__init__()
        self._question = question
        self._answers = answers
        self._chosen = chosen

    def on_mount(self) -> None:
        """Show the answers."""
        super().on_mount()
        self.query_one(Heading).show_heading(self._question)
        self._show()

    def _show(self) -> None:
        self.query_one(Words).show_lines(
            [
                Line(answer, "chosen" if k == self._chosen else "plain")
                for k, answer in enumerate(self._answers)
            ]
        )

    def action_move(self, steps: int) -> None:
        """Choose another."""
        self._chosen = (self._chosen + steps) % len(self._answers)
        self._show()

    @on(Words.Picked)
    def pick(self, message: Words.Picked) -> None:
        """Take the answer that was clicked."""
        self.dismiss(message.index)

    def action_take(self) -> None:
        """Take it."""
        self.dismiss(self._chosen)
