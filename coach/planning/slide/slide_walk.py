"""The cheapest walk through a part: one choice for each note, exactly.

A stage is a note with the choices there are for it.  What a choice costs depends on
the choice before it, on the manner in which its passage is begun, on which way the
arm came, and on where the same pitch was played just before.

Notes
-----
Dynamic programming.  What the future needs to know of the past is the choice for
this note, the manner, which way the arm came, and the places of those pitches alone
that come again within a few notes: a bounded number of states, so the walk takes time
and memory linear in the notes.  The result is exact: no walk is cheaper.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
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


Rows = tuple[tuple[Link, ...], ...]
"""The ways on from each choice of the note before; a single choice stands before the
first note."""


@dataclass(frozen=True, slots=True)
class Stage:
    """One note of the walk."""

    manners: tuple[Rows, ...]
    """The ways to it in each manner; one where there is nothing to choose, else as
    many as in all other stages where there is."""

    turn_cost: float = 0.0
    """What it costs that the arm turns round at the note before."""

    switch_cost: float = inf
    """What it costs that the manner changes here; infinite where it may not."""

    places: tuple[str, ...] = ()
    """Where each choice plays the pitch; may be left out where `back` is 0."""

    back: int = 0
    """How many notes ago the pitch was played just before; 0 if it was not."""

    leave_costs: tuple[float, ...] = ()
    """What it costs in each manner that it was played in another place then; may be
    left out where `back` is 0."""


@dataclass(frozen=True, slots=True)
class SlideWalk:
    """A way through some stages."""

    choices: tuple[int, ...]
    """What is chosen for each note."""

    cost: float
    """What it costs in all."""

    manners: tuple[int, ...] = ()
    """In which manner each note is begun."""


Reached = tuple[float, int, int, tuple[str, ...], int, Any]
"""The cheapest way to a choice, of those that the future can tell apart: what it costs
so far, the choice, which way the arm came, the places that are remembered, the manner,
and the way to the note before; None where the walk starts.  A plain tuple, since the
walk makes millions."""

Frontiers = list[Collection[Reached]]
"""For each manner the ways that lead to one note."""

DIRECTIONS = 3

Allowed = Sequence[Collection[int] | None]
"""For each note the choices that are let, or None for all."""


class Memory(NamedTuple):
    """What becomes of the places that are remembered, on the way to one note."""

    compared: int | None
    """Which of them the note is held against."""

    kept: tuple[int, ...]
    """Which of them are still needed after it."""

    is_added: bool
    """Whether the place of the note itself will be needed."""

    most_cost: float
    """What all that is remembered before the note may still cost."""


def find_walk(
    stages: Sequence[Stage], allowed: Allowed | None = None, start: int = 0
) -> SlideWalk:
    """Find the cheapest walk.

    Parameters
    ----------
    stages : sequence of Stage, length n, n > 0
        The notes with their choices, in order.
    allowed : sequence, length n, optional
        For each note the choices that are let, or None for all of them.
    start : int
        The choice of the note before the first stage.

    Returns
    -------
    SlideWalk
        Of equally cheap walks always the same one.

    Raises
    ------
    ValueError
        If there is no way through.

    Examples
    --------
    >>> near, far = Link(0, 0.0, 0), Link(1, 1.0, 1)
    >>> find_walk([Stage((((near, far),),))]).choices
    (0,)
    """
    nowhere: Reached = (0.0, start, 0, (), 0, None)
    frontiers: Frontiers = [[nowhere]]
    for k, (stage, memory) in enumerate(zip(stages, _remember(stages), strict=True)):
        manners = stage.manners
        if allowed is not None and (let := allowed[k]) is not None:
            manners = _only(manners, let)
        frontiers = [
            _advance(sources, manners[m], stage, memory, m)
            for m, sources in enumerate(_sources(frontiers, stage))
        ]
    ends = [end for frontier in frontiers for end in frontier]
    if not ends:
        raise ValueError("there is no way through the stages")
    steps = [min(ends, key=itemgetter(0))]
    while (before := steps[-1][-1]) is not None:
        steps.append(before)
    way = steps[-2::-1]
    return SlideWalk(
        tuple(step[1] for step in way), steps[0][0], tuple(step[4] for step in way)
    )


def _remember(stages: Sequence[Stage]) -> Iterator[Memory]:
    """Tell which places each note needs of those before it, and leaves behind."""
    again = {k - stage.back: k for k, stage in enumerate(stages) if 0 < stage.back <= k}
    held: list[int] = []
    most_cost = 0.0
    for k, stage in enumerate(stages):
        # A pitch that was played just before is held against its place then: that place
        # is remembered from there to here and no longer, so states stay few.
        is_back = 0 < stage.back <= k
        compared = held.index(k - stage.back) if is_back else None
        kept = tuple(i for i in range(len(held)) if i != compared)
        is_added = k in again
        yield Memory(compared, kept, is_added, most_cost)
        held = [held[i] for i in kept]
        # What is remembered can cost no more than its notes' own prices for leaving.
        if is_back:
            most_cost -= max(stage.leave_costs)
        if is_added:
            held.append(k)
            most_cost += max(stages[again[k]].leave_costs)


def _sources(
    frontiers: Frontiers, stage: Stage
) -> Iterator[list[tuple[float, Collection[Reached]]]]:
    """Give for each manner where its ways may come from, and what coming costs."""
    if len(frontiers) != len(stage.manners):
        for _ in stage.manners:
            yield [(0.0, frontier) for frontier in frontiers]
        return
    for manner, frontier in enumerate(frontiers):
        others = (other for k, other in enumerate(frontiers) if k != manner)
        may_switch = stage.switch_cost < inf
        switched = [(stage.switch_cost, other) for other in others if may_switch]
        yield [(0.0, frontier), *switched]


def _advance(
    sources: Sequence[tuple[float, Collection[Reached]]],
    rows: Rows,
    stage: Stage,
    memory: Memory,
    manner: int,
) -> Collection[Reached]:
    """Go from the ways to reach one note to those of the next, in one manner.

    Of two ways to the same choice, one that is dearer by more than a turn and all
    that may come of what is remembered can never become the cheaper one.
    """
    turn_cost, places = stage.turn_cost, stage.places
    compared, kept, is_added, most_cost = memory
    leave_cost = 0.0 if compared is None else stage.leave_costs[manner]
    limits = _limits(sources, turn_cost + most_cost)
    best: dict[int | tuple[int, tuple[str, ...]], Reached] = {}
    then = None
    for added, frontier in sources:
        for reached in frontier:
            so_far, before, came, held, _, _ = reached
            so_far += added
            if so_far > limits[before]:
                continue
            if compared is not None:
                then = held[compared]
                held = tuple([held[i] for i in kept])
            holds = held
            for choice, step_cost, direction in rows[before]:
                cost = so_far + step_cost
                # The arm turns: it came the one way and goes on the other.
                if came * direction < 0:
                    cost += turn_cost
                if then is not None and places[choice] != then:
                    cost += leave_cost
                if is_added:
                    holds = (*held, places[choice])
                # Merged is what the future cannot tell apart: the same choice, reached
                # from the same side, with the same places remembered.
                node = choice * DIRECTIONS + direction
                key = (node, holds) if holds else node
                known = best.get(key)
                if known is None or cost < known[0]:
                    best[key] = (cost, choice, direction, holds, manner, reached)
    return best.values()


def _limits(
    sources: Sequence[tuple[float, Collection[Reached]]], most_apart: float
) -> dict[int, float]:
    """Tell for each choice what no way to it may cost that is worth going on."""
    limits: dict[int, float] = {}
    for added, frontier in sources:
        for reached in frontier:
            limit = reached[0] + added + most_apart
            if limit < limits.get(reached[1], inf):
                limits[reached[1]] = limit
    return limits


def _only(manners: tuple[Rows, ...], let: Collection[int]) -> tuple[Rows, ...]:
    """Keep the links that lead to choices that are let."""
    return tuple(
        tuple(tuple(step for step in row if step.choice in let) for row in rows)
        for rows in manners
    )
