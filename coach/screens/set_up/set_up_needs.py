"""What setting up a player and gear needs from outside, as small protocols."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from coach.screens.remembered import MemoryNeeds

if TYPE_CHECKING:
    from collections.abc import Sequence

    from coach.planning.instrument.instrument_entry import InstrumentEntry
    from coach.planning.player_facts import PlayerFacts
    from coach.rehearsal.gear.gear import Clock


@dataclass(frozen=True, slots=True)
class Caution:
    """One thing to take care of."""

    title: str
    """In a few words."""

    text: str
    """In a few sentences."""

    source: str = ""
    """Where it comes from."""

    short: str = ""
    """In one line; empty where the title says it."""


class CautionNeeds(MemoryNeeds, Protocol):
    """What to take care of, and whether it was read."""

    def list_cautions(self) -> Sequence[Caution]:
        """Give the cautions."""
        ...


class PlayerNeeds(CautionNeeds, Protocol):
    """Who plays, and what a new player is told to take care of."""

    @property
    def clock(self) -> Clock:
        """What a long tone is timed by."""
        ...

    def read_player(self) -> PlayerFacts:
        """Give what the player has told."""
        ...

    def save_player(self, facts: PlayerFacts) -> None:
        """Keep what the player has told; plans made from now on follow it."""
        ...

    def list_instruments(self) -> Sequence[InstrumentEntry]:
        """List the instruments to choose from, the likeliest first."""
        ...

    def broken_instruments(self) -> Sequence[str]:
        """Say of each of the player's own instruments that cannot be read why not."""
        ...

    def capacity(self, facts: PlayerFacts) -> str:
        """Say the capacity that follows from what was told, in one line.

        What could not be kept, since it makes no player, is refused with an error.
        """
        ...
