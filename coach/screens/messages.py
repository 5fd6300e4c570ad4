"""Messages that come from other threads."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.message import Message

if TYPE_CHECKING:
    from coach.rehearsal.gear.gear import Fact


class FactCame(Message):
    """The gear says something."""

    def __init__(self, fact: Fact) -> None:
        super().__init__()
        self.fact = fact

    def can_replace(self, message: Message) -> bool:
        """Let a newer microphone level stand for an older one still waiting."""
        from coach.rehearsal.gear.gear import LevelHeard

        return (
            isinstance(message, FactCame)
            and isinstance(message.fact, LevelHeard)
            and isinstance(self.fact, LevelHeard)
        )
