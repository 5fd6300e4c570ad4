"""The cost of whole stretches at once, held to the cost note by note."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.planning.breathing.breath_costs import AirCosts
from coach.planning.breathing.search.air_sums import Demand, add_up

COSTS = AirCosts(
    low_depth=0.25,
    empty_depth=0.5,
    half_weight=0.7,
    low_weight=3.0,
    dry_weight=20.0,
    dry_note_weight=9.0,
)


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_a_stretch_costs_what_its_notes_cost_one_by_one(data: st.DataObject) -> None:
    """From full lungs to beyond empty."""
    shares = st.floats(1e-3, 0.3)
    demands = st.builds(Demand, shares, st.floats(0.05, 4.0), st.sampled_from((0, 0.5)))
    notes = data.draw(st.lists(demands, min_size=1, max_size=9))
    first = data.draw(st.integers(0, len(notes)))
    end = data.draw(st.integers(first, len(notes)))
    depth = data.draw(st.floats(-0.5, 0.6))
    sums = add_up(notes, COSTS)
    cost, here = 0.0, depth
    for note in notes[first:end]:
        cost += COSTS.of_note(here, here + note.used, note.sounding_s, note.high)
        here += note.used
    at = depth - sums.used[first]
    assert sums.of_stretch(at, first, end) == pytest.approx(cost, abs=1e-9)
