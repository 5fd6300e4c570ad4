"""One way to play one pitch, and how its note is begun."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Articulation(StrEnum):
    """How a note is begun."""

    TONGUED = "tongued"
    NATURAL_SLUR = "natural-slur"
    LIP_SLUR = "lip-slur"
    VALVE_SLUR = "valve-slur"
    LEGATO_TONGUED = "legato-tongued"

    @property
    def is_stroke(self) -> bool:
        """The tongue moves, hard or soft."""
        return self in (Articulation.TONGUED, Articulation.LEGATO_TONGUED)


@dataclass(frozen=True, slots=True)
class Placement:
    """One way to play one pitch."""

    label: str
    """As a player writes it: ``4``, ``T2``, ``b4``; a valve pattern; or empty."""

    cm: float | None
    """Slide out from first position, in centimetres; None without a slide."""

    partial: int | None
    """Harmonic; None where it has no meaning."""

    valves: str = ""
    """Valves pressed, as ``12``, or the trigger; empty when open."""

    cents: float = 0.0
    """How far out of tune it stays; positive is sharp."""

    is_alternate: bool = False
    """Not the usual choice for the pitch."""

    number: int = 0
    """Nearest whole position, from 1; 0 without a slide."""

    @property
    def plain(self) -> str:
        """The label with no sign for raised or lowered."""
        return self.label.lstrip("b#")


NO_PLACE = Placement("", None, None)
"""What stands for a pitch that needs no place, or has none."""
