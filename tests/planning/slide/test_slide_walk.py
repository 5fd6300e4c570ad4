"""The walk against every way through, and against another shortest path."""

from __future__ import annotations

from itertools import product
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.planning.slide.slide_walk import Link, Stage, find_walk, walk_cost
from tests.planning.slide.walk_graph import shortest_cost

COSTS = st.integers(0, 40).map(lambda quarter: quarter / 4)


@st.composite
def walks(draw: st.DrawFn, longest: int = 6, most_choices: int = 3) -> list[Stage]:
    """Draw stages: the first choice of each is always open."""
    stages = []
    before = 1
    for _ in range(draw(st.integers(1, longest))):
        count = draw(st.integers(1, most_choices))
        strokes = [draw(st.booleans()) for _ in range(count)]
        rows = []
        for _ in range(before):
            choices = [k for k in range(count) if k == 0 or draw(st.booleans())]
            rows.append(
                tuple(
                    Link(k, draw(COSTS), draw(st.integers(-1, 1)), strokes[k])
                    for k in choices
                )
            )
        stages.append(Stage(tuple(rows), draw(COSTS), draw(COSTS)))
        before = count
    return stages


def counts(stages: list[Stage]) -> list[int]:
    """Give how many choices each stage has."""
    return [1 + max(step.choice for row in s.links for step in row) for s in stages]


def cheapest(stages: list[Stage]) -> float:
    """Try every way through."""
    every = product(*(range(count) for count in counts(stages)))
    return min(walk_cost(stages, choices) for choices in every)


@given(walks())
@settings(max_examples=300, deadline=None)
def test_no_walk_is_cheaper(stages: list[Stage]) -> None:
    walk = find_walk(stages)
    assert walk.cost == cheapest(stages)
    assert walk.cost == walk_cost(stages, walk.choices)


@given(walks(longest=12, most_choices=4))
@settings(max_examples=60, deadline=None)
def test_another_shortest_path_costs_the_same(stages: list[Stage]) -> None:
    """networkx, Dijkstra's algorithm on the expanded graph."""
    assert find_walk(stages).cost == pytest.approx(shortest_cost(stages), abs=1e-9)


@given(walks(), st.data())
@settings(max_examples=100, deadline=None)
def test_a_walk_keeps_to_what_is_allowed(
    stages: list[Stage], data: st.DataObject
) -> None:
    some = [
        {0} | {k for k in range(count) if data.draw(st.booleans())}
        for count in counts(stages)
    ]
    let = [None if data.draw(st.booleans()) else allowed for allowed in some]
    walk = find_walk(stages, let)
    every = product(
        *(
            range(count) if allowed is None else sorted(allowed)
            for count, allowed in zip(counts(stages), let, strict=True)
        )
    )
    assert walk.cost == min(walk_cost(stages, choices) for choices in every)


def line(*steps: Link) -> list[Stage]:
    """Make a walk with one way through."""
    return [Stage(((step,),), turn_cost=5.0, pattern_cost=7.0) for step in steps]


def test_turning_round_costs() -> None:
    out, back = Link(0, 1.0, 1, True), Link(0, 1.0, -1, True)
    assert find_walk(line(out, out, out)).cost == 3.0
    assert find_walk(line(out, back, out)).cost == 13.0


def test_standing_still_in_between_is_no_turn() -> None:
    out, still, back = (Link(0, 1.0, way, True) for way in (1, 0, -1))
    assert find_walk(line(out, still, back)).cost == 3.0


def test_tongue_and_slur_in_turn_keep_a_pattern() -> None:
    tongue, slur = Link(0, 1.0, 0, True), Link(0, 1.0, 0, False)
    assert find_walk(line(tongue, slur, tongue, slur)).cost == 4.0
    assert find_walk(line(tongue, slur, slur, slur)).cost == 11.0


def test_a_walk_may_start_from_any_choice() -> None:
    stage = Stage(((Link(0, 1.0, 0, True),), (Link(0, 4.0, 0, True),)))
    assert find_walk([stage], start=1).cost == 4.0


def test_a_broken_walk_costs_without_end() -> None:
    stages = [Stage(((Link(0, 1.0, 0, True),),))]
    assert walk_cost(stages, (1,)) == inf


def test_no_way_through_is_refused() -> None:
    stages = [Stage(((Link(0, 1.0, 0, True),),))]
    with pytest.raises(ValueError, match="no way through"):
        find_walk(stages, [[1]])
