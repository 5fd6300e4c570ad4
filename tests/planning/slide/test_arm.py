"""How far the arm goes, and how long it takes."""

from __future__ import annotations

import math

import pytest

from coach.planning.instrument.placement import Placement
from coach.planning.slide.arm import (
    is_in_reach,
    move_cm,
    move_time_s,
    swing_mps2,
    travel_cm,
)
from tests.planning.slide.slide_shelf import settings as slide_settings


# Minimum-jerk reaching, T = sqrt(5.77 d / a) (Flash & Hogan 1985, J Neurosci 5:1688),
# for one to six positions at 40 and 20 metres a second squared; worked out by hand.
@pytest.mark.parametrize(
    ("cm", "trained_ms", "relaxed_ms"),
    [
        *((8.8, 113, 159), (18.1, 161, 228), (28.0, 201, 284)),
        *((38.5, 236, 333), (49.6, 268, 378), (61.3, 297, 421)),
    ],
)
def test_an_arm_needs_its_time(cm: float, trained_ms: int, relaxed_ms: int) -> None:
    assert move_time_s(cm, 40.0) * 1000 == pytest.approx(trained_ms, abs=1)
    assert move_time_s(cm, 20.0) * 1000 == pytest.approx(relaxed_ms, abs=1)


def test_travel_is_what_the_slide_moves() -> None:
    assert travel_cm(Placement("3", 16.8, 5), Placement("2", 8.8, 4)) == pytest.approx(
        8.0
    )
    assert travel_cm(Placement("3", 16.8, 5), Placement("12", None, 5, "12")) == 0.0


def test_softly_the_arm_goes_25_cm_in_a_fifth_of_a_second() -> None:
    """Common practice, no published source."""
    settings = slide_settings()
    assert is_in_reach(25.0, 0.2, settings)
    assert not is_in_reach(25.0, 0.19, settings)
    assert not is_in_reach(5.0, 0.06, settings)


def test_a_swing_out_and_in_asks_for_what_its_half_cosine_does() -> None:
    """From first to third in a sixteenth at 132, against the curve itself."""
    distance_m, time_s, step_s = 0.181, 60 / 132 / 4, 1e-5

    def at(moment_s: float) -> float:
        return distance_m / 2 * (1 - math.cos(math.pi * moment_s / time_s))

    steepest = (at(step_s) - 2 * at(0.0) + at(-step_s)) / step_s**2
    asked = swing_mps2((0.0, 18.1, -18.1), time_s, slide_settings())
    assert asked == pytest.approx(steepest, rel=1e-3) == pytest.approx(69.1, abs=0.2)


def test_on_through_a_note_asks_for_half() -> None:
    settings = slide_settings()
    turning = swing_mps2((-18.1, 18.1, -18.1), 0.1, settings)
    assert swing_mps2((3.0, 18.1, -3.0), 0.1, settings) == turning
    for through in ((18.1, 18.1, 0.0), (0.0, 18.1, 9.0), (5.0, 18.1, 5.0)):
        assert swing_mps2(through, 0.1, settings) == pytest.approx(turning / 2)
    inward = (-9.0, -18.1, 9.0)
    assert swing_mps2(inward, 0.1, settings) == pytest.approx(turning / 2)


def test_out_is_positive_and_in_is_negative() -> None:
    third, second = Placement("3", 16.8, 5), Placement("2", 8.8, 4)
    assert move_cm(second, third) == pytest.approx(8.0)
    assert move_cm(third, second) == pytest.approx(-8.0)
