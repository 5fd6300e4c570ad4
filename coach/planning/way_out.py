"""One way out where the air runs out, and how it is said."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

Way = Literal["leave_out", "softer", "tempo", "stretch", "lungs", "within"]


@dataclass(frozen=True, slots=True)
class WayOut:
    """One thing that gets the player through, planned and found to work."""

    do: Way
    """What to do."""

    amount: float
    """How much: steps of dynamics, beats a minute, seconds, litres, breaths, notes."""

    unit: str
    """Of what."""

    bars: str
    """Where: ``"5"``, ``"5 to 8"``; ``"all"`` for the whole."""

    def __str__(self) -> str:
        """Say it to a player."""
        where = "" if self.bars == "all" else f" in {_bars(self.bars)}"
        return {
            "leave_out": f"let {self.amount:g} {self.unit} be left out{where}",
            "softer": f"play softer by {self.amount:g} {self.unit}{where}",
            "tempo": f"take it at {self.amount:g}",
            "stretch": f"stretch the time by {self.amount:g} s{where} for a breath",
            "lungs": f"the largest lungs, {self.amount:.1f} L, would do",
            "within": "breathe within the held note at the bar line before "
            f"{_bars(self.bars)}, and come in again softly",
        }[self.do]


def _bars(numbers: str) -> str:
    """Name bars by their numbers."""
    is_one = numbers.isdigit()
    return f"bar {numbers}" if is_one else f"bars {numbers}"


def say_ways_out(ways_out: Sequence[WayOut]) -> list[str]:
    """Say what would do, a line each, under a heading; none is said too."""
    if not ways_out:
        return ["Nothing that was tried gets you through: play less of it in one go."]
    return [
        "What gets you through (each one planned):",
        *(f"  {way}" for way in ways_out),
    ]
