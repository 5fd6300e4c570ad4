"""A plan played through, at once and note by note."""

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate

import pytest

from coach.planning.air.lungs import measured
from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.search.breath_walk import (
    Stop,
    play_on,
    play_to,
    walk,
)
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import lay

VERSE = "F3q G3q A3q Bb3q C4h A3h Bb3q A3q G3q F3q G3h F3h " * 3


def verse(litres: float) -> Places:
    """Lay out three lines, of which each surely ends."""
    part = part_of(VERSE)
    ends = [0.95 if k % 6 == 5 else 0.05 for k in range(len(part.notes) - 1)]
    return lay(part, bpm=60, ends=ends, player=measured(litres))


@pytest.mark.parametrize("litres", [2.5, 4.5, 60.0])
def test_what_is_played_on_one_breath_costs_what_each_note_does(litres: float) -> None:
    """Whether or not there is too much air at a line's end to breathe there."""
    places = verse(litres)
    start = Stop(0, places.start_depth, 0.0)
    whole = walk(places, ())
    assert play_on(places, start, len(places.notes)) == pytest.approx(whole.cost)


@pytest.mark.parametrize("is_in_need", [False, True])
def test_breath_by_breath_a_plan_costs_what_it_does_at_once(is_in_need: bool) -> None:
    """Each that is snatched has its price, and only in need there is one."""
    places = verse(4.5)
    if is_in_need:
        places = places.in_need()
    breaths = [(k, places.ways[k][0]) for k in (1, 3, 11, 12, 23)]
    stop, cost = Stop(0, places.start_depth, 0.0), 0.0
    for k, way in breaths:
        stop = play_to(places, stop, k, way)
        cost += stop.cost
    cost += play_on(places, stop, len(places.notes))
    whole = walk(places, breaths)
    assert cost == pytest.approx(whole.cost)
    snatched = replace(places, snatched_cost=places.snatched_cost + 1.0)
    assert walk(snatched, breaths).cost == pytest.approx(whole.cost + 3.0)


def test_who_is_too_full_to_breathe_goes_on_for_less() -> None:
    places = verse(60.0)
    first = places.sparing[0]
    start = Stop(0, places.start_depth, 0.0)
    assert places.start_depth + places.used_before[first] < places.too_full_depth[first]
    spared = play_on(places, start, first + 1) - play_on(places, start, first)
    assert spared == pytest.approx(places.too_full_cost[first])
    assert spared < places.gaps[first].going_on_cost


def test_what_going_on_costs_is_added_up_to_the_last_note() -> None:
    places = verse(4.5)
    costs = [gap.going_on_cost for gap in places.gaps]
    assert places.going_on_before == pytest.approx(
        [*accumulate(costs, initial=0.0), sum(costs)]
    )
