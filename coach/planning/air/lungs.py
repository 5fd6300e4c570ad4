"""A player's capacity: measured, or predicted from sex, height and age.

A published equation predicts the vital capacity of a healthy person.  It is a
starting guess: healthy people differ by a fifth either way, which the lower limit of
normal shows.  A measured value goes before it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from coach.errors import ConfigError

if TYPE_CHECKING:
    from coach.planning.air.capacity_equations import CapacityEquation

Sex = Literal["male", "female"]


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

    is_flow_known: bool = True
    """The flow was measured or learned; if not, it is everybody's."""

    name: str = ""
    """Who of several at one laptop; empty for the one that it belongs to."""


@dataclass(frozen=True, slots=True)
class LungLimits:
    """What is taken for a typing mistake; keys of ``lungs.toml``."""

    lowest_height_cm: float
    """Shortest person."""

    highest_height_cm: float
    """Tallest person."""

    lowest_capacity_l: float
    """Smallest capacity."""

    highest_capacity_l: float
    """Largest capacity."""


@dataclass(frozen=True, slots=True)
class CapacityEquations:
    """What predicts a capacity."""

    male: CapacityEquation
    """For men and boys."""

    female: CapacityEquation
    """For women and girls."""

    limits: LungLimits
    """What is taken for a typing mistake."""


def predict_capacity(
    sex: Sex, height_cm: float, age: float, equations: CapacityEquations
) -> Player:
    """Predict a player's capacity.

    Parameters
    ----------
    sex : {"male", "female"}
        Lungs differ by sex at the same height and age.
    height_cm : float
        Height without shoes, in centimetres.

    Returns
    -------
    Player
        The median as capacity, with its lower limit of normal.

    Raises
    ------
    ConfigError
        If the age is outside what the equation holds for, or the height is no
        person's.
    """
    equation = equations.male if sex == "male" else equations.female
    low, high = equation.lowest_age_years, equation.highest_age_years
    if not low <= age <= high:
        raise ConfigError(
            f"{equation.name} is known here from {low:g} to {high:g} years, not at "
            f"{age:g}.",
            "Give litres that were measured, or time one long tone instead.",
        )
    limits = equations.limits
    low, high = limits.lowest_height_cm, limits.highest_height_cm
    if not low <= height_cm <= high:
        raise ConfigError(
            f"A height of {height_cm:g} cm is not between {low:g} and {high:g} cm.",
            "Give the height in centimetres.",
        )
    return Player(
        capacity_l=equation.median_l(height_cm, age),
        capacity_from=f"predicted, {equation.name}",
        lower_l=equation.lower_l(height_cm, age),
    )


def measured(capacity_l: float, limits: LungLimits | None = None) -> Player:
    """Take a capacity that was measured.

    Parameters
    ----------
    capacity_l : float
        Vital capacity, in litres.
    limits : LungLimits, optional
        What is taken for a typing mistake; left out, anything above 0 is taken.

    Raises
    ------
    ConfigError
        If it is no person's capacity.
    """
    low = limits.lowest_capacity_l if limits else math.ulp(0.0)
    high = limits.highest_capacity_l if limits else math.inf
    if not low <= capacity_l <= high:
        raise ConfigError(
            f"A capacity of {capacity_l:g} L is not between {low:g} and {high:g} L.",
            "Give the vital capacity in litres.",
        )
    return Player(capacity_l, "measured", capacity_l)
