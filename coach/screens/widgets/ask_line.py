"""One line to type into; escape puts it away."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.events import Key
from textual.widgets import Input


class AskLine(Input):
    """An input that takes the keys while it is there."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "put_away", "put away", show=False),
    ]

    def __init__(self, words: str, value: str = "") -> None:
        super().__init__(value, placeholder=words, compact=True)
        self.last_key: Key | None = None

    def on_key(self, event: Key) -> None:
        """Remember what came here first."""
        self.last_key = event

    def on_mount(self) -> None:
        """Take the keys."""
        self.focus()

    def action_put_away(self) -> None:
        """Go, and forget what was typed."""
        self.value = ""
        self.remove()
