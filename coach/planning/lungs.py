"""A player's capacity: measured, or predicted by a published equation."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Player:
    """What the planner knows of the person."""

    capacity_l: float
    """Vital capacity, in litres."""

    capacity_from: str
    """Where that comes from, in words: measured, or the equation's name."""

    lower_l: float
    """Lower limit of normal for a prediction; the capacity itself if measured."""

    flow_scale: float = 1.0
    """This player's flow against the model's; 1 until calibrated or learned."""
