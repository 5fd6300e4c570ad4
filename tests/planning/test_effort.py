"""What tongue and arm cost in air."""

from __future__ import annotations

import pytest

from coach.config import read_settings
from coach.planning.air.air import AirSettings
from coach.planning.effort import effort_factors
from coach.planning.slide.slide import Articulation, Placement, SlidePlan

AIR = read_settings(AirSettings, "air")


def begun_with(*begun: tuple[Articulation, float | None]) -> SlidePlan:
    return SlidePlan(
        placements=tuple(Placement("1", cm, 3) for _, cm in begun),
        articulations=tuple(articulation for articulation, _ in begun),
        travel_cm=0.0,
        tongue_strokes=0,
        natural_slurs=0,
        worst_speed_mps=0.0,
        cost=0.0,
    )


def test_tongue_and_arm_cost_air_and_natural_slurs_do_not() -> None:
    """Common practice, no published source: the numbers are tunable."""
    plan = begun_with(
        (Articulation.TONGUED, 0.0),
        (Articulation.NATURAL_SLUR, 0.0),
        (Articulation.LEGATO_TONGUED, 50.0),
        (Articulation.TONGUED, 0.0),
    )
    assert effort_factors(plan, AIR) == pytest.approx((1.04, 1.0, 1.06, 1.08))


def test_without_a_slide_only_the_tongue_counts() -> None:
    plan = begun_with(
        (Articulation.VALVE_SLUR, None),
        (Articulation.TONGUED, None),
        (Articulation.TONGUED, 20.0),
    )
    assert effort_factors(plan, AIR) == pytest.approx((1.0, 1.04, 1.04))
