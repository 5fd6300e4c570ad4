"""The cheapest walk through a part: one choice for each note, exactly.

A stage is a note with the choices there are for it.  What a choice costs depends on
itself, on the choice before it, and in two ways on the one before that: the arm
turns round, or the pattern of tongue and slur is broken.

Notes
-----
Dynamic programming.  What the future needs to know of the past is the choice for
this note, which way the arm came, and whether the note before was tongued, so a
stage has at most six states for each choice, and the walk takes time and memory
linear in the notes.  The result is exact: no walk is cheaper.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf


@dataclass(frozen=True, slots=True)
class Link:
    """From one choice to the next."""

    cost: float
    """What it costs, the choice it leads to included."""

    direction: int
    """Which way the arm goes: 1 out, -1 in, 0 stays or has all the time."""


@dataclass(frozen=True, slots=True)
class Stage:
    """One note of the walk."""

    strokes: tuple[bool, ...]
    """For each choice, whether the tongue moves."""

    links: tuple[tuple[Link | None, ...], ...]
    """From each choice of the note before (a single one before the first note) to
    each choice of this one; None where there is no way."""

    turn_cost: float = 0.0
    """What it costs that the arm turns round at the note before."""

    pattern_cost: float = 0.0
    """What it costs that this note is begun otherwise than the one before last."""


State = tuple[int, int, bool]
"""A choice, which way the arm came to it, and whether the note before was tongued."""


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
        The cost; infinite where a link is missing.
    """
    total = 0.0
    before, direction = 0, 0
    for k, (stage, choice) in enumerate(zip(stages, choices, strict=True)):
        link = stage.links[before][choice]
        if link is None:
            return inf
        total += link.cost
        if direction * link.direction < 0:
            total += stage.turn_cost
        if k > 1 and _stroke(stages, choices, k) != _stroke(stages, choices, k - 2):
            total += stage.pattern_cost
        before, direction = choice, link.direction
    return total


def _stroke(stages: Sequence[Stage], choices: Sequence[int], k: int) -> bool:
    """Tell whether a walk tongues a note."""
    return stages[k].strokes[choices[k]]


def find_walk(stages: Sequence[Stage]) -> tuple[int, ...]:
    """Find the cheapest walk.

    Parameters
    ----------
    stages : sequence of Stage, length n
        The notes; every choice of the note before must have a way on.

    Returns
    -------
    tuple of int, length n
        What is chosen for each note; of equally cheap walks one, always the same.

    Examples
    --------
    >>> near, far = Link(0.0, 0), Link(1.0, 1)
    >>> find_walk([Stage((True, True), ((far, near),))])
    (1,)
    """
    reached: dict[State, float] = {(0, 0, False): 0.0}
    steps: list[dict[State, State]] = []
    strokes: tuple[bool, ...] = (False,)
    for k, stage in enumerate(stages):
        pattern_cost = stage.pattern_cost if k > 1 else 0.0
        reached, back = _advance(reached, stage, strokes, pattern_cost)
        steps.append(back)
        strokes = stage.strokes
    state = min(reached, key=lambda end: reached[end])
    choices = []
    for back in reversed(steps):
        choices.append(state[0])
        state = back[state]
    return tuple(reversed(choices))


def _advance(
    reached: dict[State, float],
    stage: Stage,
    strokes: tuple[bool, ...],
    pattern_cost: float,
) -> tuple[dict[State, float], dict[State, State]]:
    """Go from the states of one note to those of the next."""
    best: dict[State, float] = {}
    back: dict[State, State] = {}
    turn_cost = stage.turn_cost
    for state, so_far in reached.items():
        before, came, stroke_before_last = state
        stroke_before = strokes[before]
        for choice, link in enumerate(stage.links[before]):
            if link is None:
                continue
            cost = so_far + link.cost
            if came * link.direction < 0:
                cost += turn_cost
            if stage.strokes[choice] != stroke_before_last:
                cost += pattern_cost
            arrived = (choice, link.direction, stroke_before)
            if cost < best.get(arrived, inf):
                best[arrived] = cost
                back[arrived] = state
    return best, back
