"""The cheapest walk through a part: one choice for each note, exactly.

A stage is a note with the choices there are for it.  What a choice costs depends on
the choice before it, and in two ways on the one before that: the arm turns round,
or the pattern of tongue and slur is broken.

Notes
-----
Dynamic programming.  What the future needs to know of the past is the choice for
this note, which way the arm came, and whether the note before was tongued, so a
stage has at most six states for each choice, and the walk takes time and memory
linear in the notes.  The result is exact: no walk is cheaper.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from math import inf
from operator import itemgetter
from typing import Any, NamedTuple


class Link(NamedTuple):
    """From one choice to the next; a tuple, since the walk takes millions apart."""

    choice: int
    """Which choice it leads to."""

    cost: float
    """What it costs, the choice it leads to included."""

    direction: int
    """Which way the arm goes: 1 out, -1 in, 0 stays or has all the time."""

    is_stroke: bool
    """Whether the choice it leads to moves the tongue."""


@dataclass(frozen=True, slots=True)
class Stage:
    """One note of the walk."""

    links: tuple[tuple[Link, ...], ...]
    """The ways on from each choice of the note before; a single choice stands
    before the first note."""

    turn_cost: float = 0.0
    """What it costs that the arm turns round at the note before."""

    pattern_cost: float = 0.0
    """What it costs that this note is begun otherwise than the one before last."""


@dataclass(frozen=True, slots=True)
class Walk:
    """A way through some stages."""

    choices: tuple[int, ...]
    """What is chosen for each note."""

    cost: float
    """What it costs in all."""


Reached = tuple[float, int, int, bool, bool, Any]
"""The cheapest way to a choice, of those that the future can tell apart: what it costs
so far, the choice, which way the arm came to it, whether it is tongued and the note
before was, and the way to that note; None where the walk starts.  A plain tuple, since
the walk makes millions."""

Allowed = Sequence[Collection[int] | None]
"""For each note the choices that are let, or None for all."""


def walk_cost(stages: Sequence[Stage], choices: Sequence[int]) -> float:
    """Add up what a walk costs, straight from the definition.

    Parameters
    ----------
    stages : sequence of Stage, length n
        The notes.
    choices : sequence of int, length n
        What is chosen for each.

    Returns
    -------
    float
        The cost; infinite where there is no way on.
    """
    steps: list[Link] = []
    before = 0
    for stage, choice in zip(stages, choices, strict=True):
        found = [step for step in stage.links[before] if step.choice == choice]
        if not found:
            return inf
        steps += found
        before = choice
    total = sum(step.cost for step in steps)
    for k, (stage, step) in enumerate(zip(stages, steps, strict=True)):
        if k > 0 and step.direction * steps[k - 1].direction < 0:
            total += stage.turn_cost
        if k > 1 and step.is_stroke != steps[k - 2].is_stroke:
            total += stage.pattern_cost
    return total


def find_walk(
    stages: Sequence[Stage], allowed: Allowed | None = None, start: int = 0
) -> Walk:
    """Find the cheapest walk.

    Parameters
    ----------
    stages : sequence of Stage, length n, n > 0
        The notes.
    allowed : sequence, length n, optional
        For each note the choices that are let, or None for all of them.
    start : int
        The choice of the note before the first stage.

    Returns
    -------
    Walk
        Of equally cheap walks always the same one.

    Raises
    ------
    ValueError
        If there is no way through.

    Examples
    --------
    >>> near, far = Link(0, 0.0, 0, True), Link(1, 1.0, 1, True)
    >>> find_walk([Stage(((far, near),))]).choices
    (0,)
    """
    frontier: Collection[Reached] = [(0.0, start, 0, False, False, None)]
    for k, stage in enumerate(stages):
        let = None if allowed is None else allowed[k]
        frontier = _advance(frontier, stage, let, stage.pattern_cost if k > 1 else 0.0)
    if not frontier:
        raise ValueError("there is no way through the stages")
    end = min(frontier, key=itemgetter(0))
    choices = []
    step = end
    while step[-1] is not None:
        choices.append(step[1])
        step = step[-1]
    return Walk(tuple(reversed(choices)), end[0])


def _advance(
    frontier: Collection[Reached],
    stage: Stage,
    let: Collection[int] | None,
    pattern_cost: float,
) -> Collection[Reached]:
    """Go from the ways to reach one note to those of the next.

    What lies behind a choice matters to the next step alone, and by no more than a
    turn and a broken pattern: a way that is dearer than another one to the same
    choice by more than both can never become the cheaper one.
    """
    links = stage.links if let is None else _only(stage.links, let)
    turn_cost = stage.turn_cost
    most_apart = turn_cost + pattern_cost
    limits: dict[int, float] = {}
    for reached in frontier:
        limit = reached[0] + most_apart
        if limit < limits.get(reached[1], inf):
            limits[reached[1]] = limit
    best: dict[tuple[int, int, bool], Reached] = {}
    for reached in frontier:
        so_far, before, came, was_stroke, was_stroke_before, _ = reached
        if so_far > limits[before]:
            continue
        for choice, step_cost, direction, is_stroke in links[before]:
            cost = so_far + step_cost
            if came * direction < 0:
                cost += turn_cost
            if is_stroke is not was_stroke_before:
                cost += pattern_cost
            key = (choice, direction, was_stroke)
            known = best.get(key)
            if known is None or cost < known[0]:
                best[key] = (cost, choice, direction, is_stroke, was_stroke, reached)
    return best.values()


def _only(
    links: tuple[tuple[Link, ...], ...], let: Collection[int]
) -> tuple[tuple[Link, ...], ...]:
    """Keep the links that lead to choices that are let."""
    return tuple(tuple(step for step in row if step.choice in let) for row in links)
