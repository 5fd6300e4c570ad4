"""How far the arm goes, and how long it takes."""

from __future__ import annotations

import pytest

from coach.planning.instrument.placement import Placement
from coach.planning.slide.arm import is_in_reach, move_time_s, travel_cm
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
