"""The search for breaths against every plan there is, and what must hold of any."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.planning.air.lungs import measured
from coach.planning.breathing.breath_places import Places, choose_ways
from coach.planning.breathing.breath_search import find_breaths, walk
from coach.planning.breathing.breaths import Locks, choose_breaths
from coach.score.phrase import Part
from tests.hand_made import part_of
from tests.planning.breathing.breath_model import solve
from tests.planning.breathing.breath_oracle import (
    COSTS,
    again,
    every_cost,
    lay,
    parts,
    problems,
)

TOLERANCE = 1e-9
NO_LOCKS = Locks()


def locks_for(places: Places) -> st.SearchStrategy[tuple[frozenset[int], ...]]:
    gaps = st.frozensets(st.integers(0, max(0, len(places.gaps) - 1)))
    return st.tuples(gaps, gaps) if places.gaps else st.just((frozenset(),) * 2)


def cheapest(places: Places, locks: Locks = NO_LOCKS) -> float:
    return choose_breaths(places, locks).cost


@settings(max_examples=600, deadline=None)
@given(st.data())
def test_no_plan_at_all_is_cheaper(data: st.DataObject) -> None:
    places = data.draw(problems())
    must, must_not = data.draw(locks_for(places))
    ways, forced, _ = choose_ways(places, must, must_not)
    plan = choose_breaths(places, Locks(must, must_not))
    assert plan.cost == pytest.approx(min(every_cost(places, ways, forced)), abs=1e-9)
    assert plan.is_optimal


@settings(max_examples=200, deadline=None)
@given(problems(), st.integers(1, 3))
def test_with_few_states_the_gap_is_still_true(places: Places, most: int) -> None:
    """States are merged all the time here; the bound must hold nevertheless."""
    ways, forced, _ = choose_ways(places, frozenset(), frozenset())
    found, gap = find_breaths(
        places, ways, forced, most_states=most, most_gap=0.0, most_rounds=1
    )
    least = min(every_cost(places, ways, forced))
    assert found.cost * (1 - gap) - TOLERANCE <= least <= found.cost + TOLERANCE


def test_further_rounds_close_the_gap() -> None:
    part = part_of("F3q G3q A3q Bb3q C4q D4q Bb3q A3q G3q F3q " * 6)
    places = lay(
        part, bpm=60, ends=[0.1, 0.5, 0.3] * 19 + [0.2] * 2, player=measured(4)
    )
    ways, forced, _ = choose_ways(places, frozenset(), frozenset())
    _, first = find_breaths(
        places, ways, forced, most_states=3, most_gap=0.0, most_rounds=1
    )
    best, last = find_breaths(
        places, ways, forced, most_states=3, most_gap=1e-9, most_rounds=5
    )
    assert first > 0.01
    assert last <= 1e-9
    assert best.cost == pytest.approx(cheapest(places))


@settings(max_examples=200, deadline=None)
@given(problems(most_notes=12), st.floats(1.0, 3.0))
def test_more_capacity_never_costs_more(places: Places, factor: float) -> None:
    larger = measured(places.breather.player.capacity_l * factor)
    assert cheapest(again(places, player=larger)) <= cheapest(places) + TOLERANCE


@settings(max_examples=200, deadline=None)
@given(problems(most_notes=12), st.floats(0.0, 4.0))
def test_playing_softer_never_costs_more(places: Places, steps: float) -> None:
    notes = tuple(
        replace(n, loud_start=n.loud_start - steps, loud_end=n.loud_end - steps)
        for n in places.passage.part.notes
    )
    softer = again(places, part=replace(places.passage.part, notes=notes))
    assert cheapest(softer) <= cheapest(places) + TOLERANCE


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_a_lock_never_makes_a_plan_cheaper(data: st.DataObject) -> None:
    places = data.draw(problems(most_notes=12))
    must, must_not = data.draw(locks_for(places))
    more, fewer = data.draw(locks_for(places))
    plain = cheapest(places, Locks(must, must_not))
    assert cheapest(places, Locks(must | (more - must_not), must_not)) >= plain - 1e-9
    assert cheapest(places, Locks(must, must_not | (fewer - must))) >= plain - 1e-9


@settings(max_examples=200, deadline=None)
@given(st.data())
def test_one_more_place_never_makes_a_plan_dearer(data: st.DataObject) -> None:
    places = data.draw(problems(most_notes=12))
    _, forbidden = data.draw(locks_for(places))
    for k in sorted(forbidden):
        fewer = Locks(must_not=forbidden - {k})
        assert (
            cheapest(places, fewer)
            <= cheapest(places, Locks(must_not=forbidden)) + 1e-9
        )


@settings(max_examples=200, deadline=None)
@given(parts(most_notes=40), st.sampled_from((40.0, 80.0, 130.0)), st.floats(0.8, 6.0))
def test_on_longer_phrases_the_plan_is_proved_best(
    part: Part, bpm: float, litres: float
) -> None:
    ends = [0.3 if k % 3 else 0.9 for k in range(len(part.notes) - 1)]
    plan = choose_breaths(lay(part, bpm=bpm, ends=ends, player=measured(litres)))
    assert plan.gap <= COSTS.most_gap_share


def test_a_walk_without_breaths_only_loses_air() -> None:
    places = lay(part_of("F3w F3w"), bpm=60, ends=[1.0], player=measured(5))
    quiet = walk(places, [])
    assert quiet.air_before[0] == pytest.approx(0.9)
    assert quiet.air_after[0] == pytest.approx(0.9 - 4 * 0.38 / 5, abs=1e-3)
    assert quiet.air_before[1] == pytest.approx(quiet.air_after[0])


def test_an_independent_solver_finds_the_same_cost() -> None:
    """HiGHS (Huangfu & Hall 2018, Math. Prog. Comp. 10:119-142), through SciPy."""
    part = part_of(
        "F3q ~G3e A3s Bb3s C4q. D4e Eb4h F4e. D4s Bb3q re F3e G3q A3q Bb3h "
        "~A3e G3e F3q D3q Eb3h F3q. G3e A3q Bb3q C4h"
    )
    count = len(part.notes) - 1
    ends = [0.05 if k % 4 else 0.7 for k in range(count)]
    places = lay(part, bpm=72, ends=ends, player=measured(3.5))
    plan = choose_breaths(places)
    cost, bound = solve(places, seconds=60)
    assert len(plan.breaths) >= 3
    assert plan.runs_out is None
    assert plan.cost == pytest.approx(cost, rel=1e-5)
    assert plan.cost == pytest.approx(bound, rel=1e-5)
