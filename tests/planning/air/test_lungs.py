"""A capacity that is measured, or predicted; and what is no capacity."""

from __future__ import annotations

import pytest

from coach.config import read_settings
from coach.errors import ConfigError
from coach.planning.air.capacity_equations import CapacityEquation
from coach.planning.air.lungs import (
    CapacityEquations,
    LungLimits,
    measured,
    predict_capacity,
)

LIMITS = read_settings(LungLimits, "lungs", "limits")
GLI = CapacityEquations(
    male=read_settings(CapacityEquation, "lungs", "gli_global.male"),
    female=read_settings(CapacityEquation, "lungs", "gli_global.female"),
    limits=LIMITS,
)


def test_healthy_people_differ_by_a_fifth() -> None:
    """The lower limit is about 0.78 of the median (Bowerman et al. 2023)."""
    player = predict_capacity("female", 168, 35, GLI)
    assert 0.74 < player.lower_l / player.capacity_l < 0.82


@pytest.mark.parametrize("age", [9.9, 95.1, float("nan")])
def test_outside_its_ages_an_equation_says_nothing(age: float) -> None:
    with pytest.raises(ConfigError, match="known here from 10 to 95 years") as caught:
        predict_capacity("male", 175, age, GLI)
    assert "measured" in caught.value.hint


@pytest.mark.parametrize("height_cm", [1.75, 260.0])
def test_a_height_in_metres_is_noticed(height_cm: float) -> None:
    with pytest.raises(ConfigError, match="is not between 100 and 230 cm"):
        predict_capacity("male", height_cm, 30, GLI)


def test_a_measured_capacity_is_its_own_lower_limit() -> None:
    player = measured(4.5, LIMITS)
    assert (player.capacity_l, player.lower_l) == (4.5, 4.5)
    assert player.capacity_from == "measured"


@pytest.mark.parametrize("capacity_l", [0.0, 45.0, float("nan")])
def test_nobody_has_such_lungs(capacity_l: float) -> None:
    with pytest.raises(ConfigError, match="is not between"):
        measured(capacity_l, LIMITS)


def test_without_limits_only_nothing_is_refused() -> None:
    assert measured(45.0).capacity_l == 45.0
    with pytest.raises(ConfigError):
        measured(-1.0)
