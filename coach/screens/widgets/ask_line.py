"""One line to type into; escape puts it away."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.events import Key
from textual.message import Message
from textual.widgets import Input

EARLY = {"enter": "submit", "escape": "put_away"}
"""Keys that are taken here even before the line has the focus, and what they do."""


class AskLine(Input):
    """An input that takes the keys while it is there."""

    class PutAway(Message):
        """It has gone, and nothing was typed."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "put_away", "put away", show=False),
    ]

    def __init__(self, words: str, value: str = "") -> None:
        super().__init__(value, placeholder=words, compact=True)
        self.last_key: Key | None = None

    async def on_key(self, event: Key) -> None:
        """Remember what came here first; a key of the line is never the screen's."""
        self.last_key = event
        action = EARLY.get(event.key)
        if action is not None and not self.has_focus:
            event.stop()
            await self.run_action(action)

    def on_mount(self) -> None:
        """Take the keys."""
        self.focus()

    def action_put_away(self) -> None:
        """Go, and forget what was typed."""
        self.value = ""
        self.post_message(self.PutAway())
        self.remove()
