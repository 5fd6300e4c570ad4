"""The walk against every way through, and against another shortest path."""

from __future__ import annotations

from itertools import product
from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.planning.slide.slide_walk import Link, Stage, find_walk
from tests.planning.slide.walk_costs import walk_cost
from tests.planning.slide.walk_graph import shortest_cost

COSTS = st.integers(0, 40).map(lambda quarter: quarter / 4)
MANNERS = 2


@st.composite
def walks(draw: st.DrawFn, longest: int = 5, most_choices: int = 3) -> list[Stage]:
    """Draw stages: the first choice of each is always open, in every manner."""
    stages: list[Stage] = []
    before = 1
    for k in range(draw(st.integers(1, longest))):
        count = draw(st.integers(1, most_choices))
        rows = [
            tuple(
                tuple(
                    Link(choice, draw(COSTS), draw(st.integers(-1, 1)))
                    for choice in range(count)
                    if choice == 0 or draw(st.booleans())
                )
                for _ in range(before)
            )
            for _ in range(draw(st.sampled_from((1, MANNERS))))
        ]
        leave_costs = tuple(draw(COSTS) for _ in rows)
        stages.append(
            Stage(
                tuple(rows),
                draw(COSTS),
                draw(st.one_of(COSTS, st.just(inf))),
                tuple(draw(st.sampled_from("ab")) for _ in range(count)),
                draw(st.integers(0, k + 1)),
                leave_costs,
            )
        )
        before = count
    return only_latest(stages)


def only_latest(stages: list[Stage]) -> list[Stage]:
    """Hold no two notes against the same one: between them the pitch came again."""
    held = set()
    kept = []
    for k, stage in enumerate(stages):
        is_again = stage.back and k - stage.back in held
        held.add(k - stage.back)
        kept.append(
            Stage(
                stage.manners,
                stage.turn_cost,
                stage.switch_cost,
                stage.places,
                0 if is_again else stage.back,
                stage.leave_costs,
            )
        )
    return kept


def counts(stages: list[Stage]) -> list[int]:
    """Give how many choices each stage has."""
    return [len(stage.places) for stage in stages]


def cheapest(stages: list[Stage], *choices: list[int]) -> float:
    """Try every way through, in every manner."""
    every = product(*(choices or [range(count) for count in counts(stages)]))
    manners = list(product(*(range(len(stage.manners)) for stage in stages)))
    return min(walk_cost(stages, way, manner) for way in every for manner in manners)


@given(walks())
@settings(max_examples=300, deadline=None)
def test_no_walk_is_cheaper(stages: list[Stage]) -> None:
    walk = find_walk(stages)
    assert walk.cost == cheapest(stages)
    assert walk.cost == walk_cost(stages, walk.choices, walk.manners)


@given(walks(longest=9, most_choices=3))
@settings(max_examples=60, deadline=None)
def test_another_shortest_path_costs_the_same(stages: list[Stage]) -> None:
    """networkx, Dijkstra's algorithm on the expanded graph."""
    assert find_walk(stages).cost == pytest.approx(shortest_cost(stages), abs=1e-9)


@given(walks(longest=4), st.data())
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
    choices = [
        list(range(count)) if allowed is None else sorted(allowed)
        for count, allowed in zip(counts(stages), let, strict=True)
    ]
    assert walk.cost == cheapest(stages, *choices)


def line(*steps: Link) -> list[Stage]:
    """Make a walk with one way through."""
    return [Stage((((step,),),), turn_cost=5.0) for step in steps]


def test_turning_round_costs() -> None:
    out, back = Link(0, 1.0, 1), Link(0, 1.0, -1)
    assert find_walk(line(out, out, out)).cost == 3.0
    assert find_walk(line(out, back, out)).cost == 13.0


def test_standing_still_in_between_is_no_turn() -> None:
    out, still, back = (Link(0, 1.0, way) for way in (1, 0, -1))
    assert find_walk(line(out, still, back)).cost == 3.0


def free(first: float, second: float, switch_cost: float) -> Stage:
    """Make a note that one manner or the other plays more cheaply."""
    rows = (((Link(0, first, 0),),), ((Link(0, second, 0),),))
    return Stage(rows, switch_cost=switch_cost)


def test_a_manner_changes_where_it_may_and_where_that_pays() -> None:
    stages = [free(0, 9, inf), free(0, 9, inf), free(9, 0, 3), free(9, 0, inf)]
    walk = find_walk(stages)
    assert (walk.manners, walk.cost) == ((0, 0, 1, 1), 3.0)
    stages[2] = free(9, 0, inf)
    assert find_walk(stages).cost == 18.0


def test_a_passage_that_leaves_no_choice_parts_two_that_do() -> None:
    """What the page dictates in between makes the next manner free of charge."""
    stages = [free(0, 9, inf), *line(Link(0, 1.0, 0)), free(9, 0, inf)]
    walk = find_walk(stages)
    assert (walk.manners, walk.cost) == ((0, 0, 1), 1.0)


def test_a_pitch_stays_in_its_place_unless_leaving_it_pays() -> None:
    """Played near, something else, then near again unless far is much cheaper."""

    def stage(near: float, far: float, back: int) -> Stage:
        row = (Link(0, near, 0), Link(1, far, 0))
        return Stage(((row, row),), places=("1", "4"), back=back, leave_costs=(2.0,))

    between = Stage((((Link(0, 0.0, 0),),) * 2,), places=("x",))
    first = stage(0, 5, 0)
    assert find_walk([first, between, stage(1, 0, 2)]).choices == (0, 0, 0)
    assert find_walk([first, between, stage(3, 0, 2)]).choices == (0, 0, 1)


def test_a_walk_may_start_from_any_choice() -> None:
    stage = Stage((((Link(0, 1.0, 0),), (Link(0, 4.0, 0),)),))
    assert find_walk([stage], start=1).cost == 4.0


def test_a_broken_walk_costs_without_end() -> None:
    stages = [Stage((((Link(0, 1.0, 0),),),))]
    assert walk_cost(stages, (1,)) == inf


def test_no_way_through_is_refused() -> None:
    stages = [Stage((((Link(0, 1.0, 0),),),))]
    with pytest.raises(ValueError, match="no way through"):
        find_walk(stages, [[1]])
