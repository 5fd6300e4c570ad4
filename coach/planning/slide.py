"""Choose positions and articulation for a part."""

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


@dataclass(frozen=True, slots=True)
class SlidePlan:
    """Positions and articulation for every note."""

    placements: tuple[Placement, ...]
    """One for each note."""

    articulations: tuple[Articulation, ...]
    """One for each note: how it is begun."""

    travel_cm: float
    """How far the arm goes in all."""

    tongue_strokes: int
    """Notes begun with the tongue."""

    natural_slurs: int
    """Notes begun by a change of partial or valve, with no tongue."""

    worst_speed_mps: float
    """Fastest mean arm speed that any move asks for, in metres per second."""

    cost: float
    """Lower is better."""

    notices: tuple[str, ...] = ()
    """Warnings in the player's words."""
