"""What a walk costs, straight from the definition: to hold the search to."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from coach.planning.slide.slide_walk import Stage


def walk_cost(
    stages: Sequence[Stage], choices: Sequence[int], manners: Sequence[int] = ()
) -> float:
    """Add up what a walk costs, straight from the definition.

    Parameters
    ----------
    stages : sequence of Stage, length n
        The notes.
    choices : sequence of int, length n
        What is chosen for each.
    manners : sequence of int, length n, optional
        In which manner each is begun; the first manner if left out.

    Returns
    -------
    float
        The cost; infinite where there is no way on.
    """
    manners = manners or [0] * len(stages)
    total, before, came = 0.0, 0, 0
    for k, (stage, choice) in enumerate(zip(stages, choices, strict=True)):
        row = stage.manners[manners[k]][before]
        found = next((step for step in row if step.choice == choice), None)
        if found is None:
            return inf
        total += found.cost
        if came * found.direction < 0:
            total += stage.turn_cost
        if k > 0 and _is_switch(stages[k - 1 : k + 1], manners[k - 1 : k + 1]):
            total += stage.switch_cost
        if 0 < stage.back <= k:
            then = stages[k - stage.back].places[choices[k - stage.back]]
            leave_cost = stage.leave_costs[manners[k]]
            total += leave_cost * (stage.places[choice] != then)
        before, came = choice, found.direction
    return total


def _is_switch(stages: Sequence[Stage], manners: Sequence[int]) -> bool:
    """Tell whether one chosen manner follows another, with nothing in between."""
    return manners[0] != manners[1] and all(len(stage.manners) > 1 for stage in stages)
