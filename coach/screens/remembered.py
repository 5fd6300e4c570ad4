"""What the screens remember from one time to the next."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True, slots=True)
class ScreenFacts:
    """What the screens remember; keys of ``screens.toml``."""

    is_set_up: bool
    """The player has been through the set-up."""

    theme: str
    """Colours; empty for the coach's own."""

    has_seen_cautions: bool
    """The cautions were shown and put away."""

    has_seen_legend: bool
    """What the signs of the staff mean was told once."""

    engraved: str
    """Whether staves are engraved: ``on``, ``off``, or ``auto`` for known terminals."""


class MemoryNeeds(Protocol):
    """Where what the screens remember is kept."""

    def read_memory(self) -> ScreenFacts:
        """Give what the screens remember."""
        ...

    def save_memory(self, facts: ScreenFacts) -> None:
        """Keep what the screens remember."""
        ...
