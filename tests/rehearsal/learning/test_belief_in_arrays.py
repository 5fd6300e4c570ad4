"""Belief comes to the same with arrays: each reckoning is a check of the other."""

from __future__ import annotations

from datetime import date, timedelta
from random import Random

import pytest

from coach.config import read_settings
from coach.rehearsal.learning.belief import after_day, believe_nothing_yet, flows_of
from coach.rehearsal.learning.candidates import (
    FLOW_LOGS,
    LearningSettings,
    lay_candidates,
)
from coach.rehearsal.learning.replaying import Edge
from coach.rehearsal.learning.sights import Sight
from tests.benchmarks.belief_in_arrays import after_day_in_arrays

SETTINGS = read_settings(LearningSettings, "learning")
CANDIDATES = lay_candidates(SETTINGS)
FIRST = date(2025, 3, 3)
SHARE_APART = 2e-3
"""Edges are rounded to an eighth of a step there, and what is next to nothing goes."""


def sight(day: date, chance: Random, *, ran_out: bool) -> Sight:
    """Make up what a run may show."""
    rows = []
    for _ in CANDIDATES.step_powers:
        row = []
        for _ in CANDIDATES.fill_factors:
            latest = chance.uniform(-0.6, 0.6)
            before = chance.choice([FLOW_LOGS[-1], latest + chance.uniform(-0.1, 0.4)])
            row.append(Edge(before, latest, latest + chance.uniform(0.02, 0.2)))
        rows.append(tuple(row))
    return Sight(day, ran_out, tuple(rows), 0.01 if ran_out else 0.0, 0.05)


@pytest.mark.parametrize("seed", range(3))
def test_days_of_runs_leave_the_same_belief(seed: int) -> None:
    chance = Random(seed)
    plain = arrays = believe_nothing_yet(CANDIDATES, SETTINGS, is_predicted=False)
    day = FIRST
    for days in (0, 1, 1, 9, 40):
        day += timedelta(days=days)
        seen = [sight(day, chance, ran_out=chance.random() < 0.5) for _ in range(3)]
        plain = after_day(plain, day, seen, CANDIDATES, SETTINGS)
        arrays = after_day_in_arrays(arrays, day, seen, CANDIDATES, SETTINGS)
        for one, other in zip(flows_of(plain), flows_of(arrays), strict=True):
            assert one == pytest.approx(other, abs=SHARE_APART)
    assert plain.day == arrays.day
    later = day + timedelta(days=30)
    gone, by_then = (
        reckon(belief, later, (), CANDIDATES, SETTINGS)
        for reckon, belief in ((after_day, plain), (after_day_in_arrays, arrays))
    )
    assert flows_of(gone) == pytest.approx(flows_of(by_then), abs=SHARE_APART)
    assert max(flows_of(gone)) < max(flows_of(plain))
