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
from typing import NamedTuple


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


State = tuple[int, int, bool, bool]
"""A choice, which way the arm came to it, whether it is tongued, and the one before."""

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
    links: list[Link] = []
    before = 0
    for stage, choice in zip(stages, choices, strict=True):
        found = [link for link in stage.links[before] if link.choice == choice]
        if not found:
            return inf
        links += found
        before = choice
    total = sum(link.cost for link in links)
    for k, (stage, link) in enumerate(zip(stages, links, strict=True)):
        if k > 0 and link.direction * links[k - 1].direction < 0:
            total += stage.turn_cost
        if k > 1 and link.is_stroke != links[k - 2].is_stroke:
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
    reached: dict[State, float] = {(start, 0, False, False): 0.0}
    backs: list[dict[State, State]] = []
    for k, stage in enumerate(stages):
        let = None if allowed is None else allowed[k]
        pattern_cost = stage.pattern_cost if k > 1 else 0.0
        reached, back = _advance(reached, stage, pattern_cost, let)
        backs.append(back)
    if not reached:
        raise ValueError("there is no way through the stages")
    state = min(reached, key=lambda end: reached[end])
    cost = reached[state]
    choices = []
    for back in reversed(backs):
        choices.append(state[0])
        state = back[state]
    return Walk(tuple(reversed(choices)), cost)


def _advance(
    reached: dict[State, float],
    stage: Stage,
    pattern_cost: float,
    let: Collection[int] | None,
) -> tuple[dict[State, float], dict[State, State]]:
    """Go from the states of one note to those of the next."""
    best: dict[State, float] = {}
    back: dict[State, State] = {}
    turn_cost = stage.turn_cost
    for state, so_far in reached.items():
        before, came, stroke_before, stroke_before_last = state
        for choice, step_cost, direction, is_stroke in stage.links[before]:
            if let is not None and choice not in let:
                continue
            cost = so_far + step_cost
            if came * direction < 0:
                cost += turn_cost
            if is_stroke != stroke_before_last:
                cost += pattern_cost
            arrived = (choice, direction, is_stroke, stroke_before)
            if arrived not in best or cost < best[arrived]:
                best[arrived] = cost
                back[arrived] = state
    return best, back
