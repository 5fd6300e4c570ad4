"""The answer of a reach in one sentence."""

from __future__ import annotations

from math import ceil

from coach.planning.naming import say_count
from coach.planning.reach import Reach, ReachPoint

ALL_OPTIONAL = {1: "optional", 2: "both optional"}
"""How that is said of so few; more are *all optional*."""


def say_reach(reach: Reach) -> str:
    """Say from which tempo on the air is enough, and what the goal asks for.

    Parameters
    ----------
    reach : Reach
        With a point at its goal, if that is to be spoken of.

    Returns
    -------
    str
        Slower takes more air: a slowest tempo is rounded to the faster side.

    Examples
    --------
    ``Stays on the top half from 96 on; at the goal 84 it takes 2 breaths; in one
    breath from 281 on.``
    """
    words = [_top_half(reach)]
    at_goal = [point for point in reach.points if point.bpm == reach.goal_bpm]
    for point in at_goal:
        goal = f"at the goal {reach.goal_bpm:g}"
        words.append(
            f"{goal} it takes {_breaths(point)}"
            if point.works
            else f"{goal} the air does not last"
        )
    words += [
        f"in one breath {say_from(reach, row.slowest_bpm)}"
        for row in reach.rows
        if not row.shift_steps
    ]
    return f"{'; '.join(words)}."


def say_from(reach: Reach, slowest_bpm: float) -> str:
    """Say from which tempo on something works: ``from 96 on``, or ``at no tempo``.

    Parameters
    ----------
    slowest_bpm : float
        Slower takes more air, so it is rounded to the faster side.
    """
    if slowest_bpm > reach.fastest_bpm:
        return "at no tempo"
    return f"from {ceil(slowest_bpm)} on"


def _breaths(point: ReachPoint) -> str:
    """Count the breaths of a plan, and those of them that the air lasts without."""
    if not point.breaths:
        return "no breath"
    words = say_count(point.breaths, "breath")
    if not point.optional:
        return words
    if point.optional < point.breaths:
        return f"{words}, {point.optional} of them optional"
    return f"{words}, {ALL_OPTIONAL.get(point.breaths, 'all optional')}"


def _top_half(reach: Reach) -> str:
    """Say from which of the tempos on no plan leaves the top half."""
    upheld = reach.upheld()
    if not upheld:
        kept = sum(point.stays_above(reach.half_air) for point in reach.points)
        share = (
            f"{len(reach.points) - kept} of these {len(reach.points)}"
            if kept
            else "each of these"
        )
        return f"Goes below half at {share} tempos"
    if len(upheld) == len(reach.points):
        return "Stays on the top half at each of these tempos"
    slowest = reach.top_half_from_bpm or upheld[0].bpm
    return f"Stays on the top half from {ceil(slowest)} on"
