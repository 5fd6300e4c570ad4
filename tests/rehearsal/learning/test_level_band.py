"""The air of a plan for a player at either end of the band."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.edits import Edits
from coach.planning.plan import Plan
from coach.rehearsal.learning.learning import learn
from coach.rehearsal.learning.level_band import lay_level_band
from coach.score.tempo import Seconds
from tests.hand_rehearsal import HandPlanner, long
from tests.rehearsal.learning.played_runs import PLAYER, SETTINGS, WHOM

ESTIMATE = learn([], WHOM, SETTINGS)


@pytest.fixture(scope="module")
def plan() -> Plan:
    return HandPlanner(PLAYER).plan(long(), 60, Edits())


def test_a_sure_band_is_the_plan_itself(plan: Plan) -> None:
    """At the ends of notes: effort and refill are those of the plan, to a whole
    percent that the planner rounds to."""
    sure = replace(ESTIMATE, low=1.0, high=1.0)
    band = lay_level_band(plan, sure, WHOM)
    for note in range(0, len(plan.times), 7):
        end = Seconds(plan.breaths.ends[note] - 1e-6)
        least, most = band.levels_at(end)
        assert least == most
        assert least == pytest.approx(plan.air.level_at(end), abs=0.03)


def test_the_heavy_end_has_less_air_than_the_light_one(plan: Plan) -> None:
    band = lay_level_band(plan, ESTIMATE, WHOM)
    assert band.levels_at(Seconds(-1.0)) == (WHOM.air.full_share,) * 2
    for second in range(2, 60, 5):
        least, most = band.levels_at(Seconds(float(second)))
        assert least < plan.air.level_at(Seconds(float(second))) + 0.03
        assert least <= most
    least, most = band.levels_at(plan.times[-1].end)
    assert least < most - 0.1


def test_a_breath_narrows_the_band(plan: Plan) -> None:
    band = lay_level_band(plan, ESTIMATE, WHOM)
    breath = plan.breaths.breaths[0]
    before = band.levels_at(Seconds(breath.start))
    after = band.levels_at(breath.next_note)
    assert after[0] > before[0]
    assert after[1] - after[0] < before[1] - before[0]


def test_the_band_rises_with_the_breath(plan: Plan) -> None:
    """The level stands between its ends at every moment of every breath."""
    band = lay_level_band(plan, ESTIMATE, WHOM)
    for breath in plan.breaths.breaths:
        tenths = [
            Seconds(breath.start + (breath.next_note - breath.start) * k / 10)
            for k in range(11)
        ]
        ends = [band.levels_at(time) for time in tenths]
        assert ends == sorted(ends), "both ends rise"
        for time, (least, most) in zip(tenths, ends, strict=True):
            assert least - 1e-9 <= plan.air.level_at(time) <= most + 1e-9
