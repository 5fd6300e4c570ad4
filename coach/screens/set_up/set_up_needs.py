"""What setting up a player and gear needs from outside, as small protocols."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

from coach.screens.remembered import MemoryNeeds

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from coach.planning.instrument.instrument_entry import InstrumentEntry
    from coach.planning.player_facts import PlayerFacts
    from coach.rehearsal.gear.gear import Clock, PedalAction
    from coach.rehearsal.gear.gear_choice import GearNow
    from coach.rehearsal.hearing.calibration import Calibration


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

    def capacity(self, facts: PlayerFacts) -> str:
        """Say the capacity that follows from what was told, in one line."""
        ...


class GearNeeds(Protocol):
    """What is plugged in."""

    def read_gear(self) -> GearNow:
        """Look at all gear (slow)."""
        ...

    def choose_gear(self, kind: str, option: str) -> None:
        """Use something from now on; an empty option for none (slow)."""
        ...

    def test_click(self) -> None:
        """Play a bar of clicks (slow)."""
        ...

    def learn_pedal(self, action: PedalAction) -> None:
        """Take the next thing that the pedal sends for an action."""
        ...

    def listen_to_room(self, wanted: bool) -> None:
        """Hear the microphone, whose level is then told; or let it go."""
        ...


class CalibrationNeeds(Protocol):
    """How late the microphone hears the click."""

    def calibrate(self, go_on: Callable[[float], bool]) -> Calibration | None:
        """Play clicks, hear them, and keep how late they are heard (slow).

        `go_on` is told again and again what share of it is done, and says whether it
        is wanted still; None when it was not.
        """
        ...
