"""Predicted capacity against worked values."""

from __future__ import annotations

import pytest

from coach.config import read_settings
from coach.planning.air.capacity_equations import CapacityEquation
from coach.planning.air.lungs import (
    CapacityEquations,
    LungLimits,
    Sex,
    predict_capacity,
)

LIMITS = read_settings(LungLimits, "lungs", "limits")
GLI = CapacityEquations(
    male=read_settings(CapacityEquation, "lungs", "gli_global.male"),
    female=read_settings(CapacityEquation, "lungs", "gli_global.female"),
    limits=LIMITS,
)


@pytest.mark.parametrize(
    ("sex", "age", "height_cm", "median_l", "lower_l"),
    [
        ("male", 30, 180, 5.260, 4.096),
        ("male", 45, 175, 4.588, 3.512),
        ("male", 60, 170, 3.851, 2.897),
        ("male", 16, 172, 4.335, 3.412),
        ("female", 30, 165, 3.684, 2.845),
        ("female", 45, 160, 3.207, 2.420),
        ("female", 60, 158, 2.768, 2.012),
        ("female", 16, 162, 3.366, 2.619),
    ],
)
def test_the_global_equations_give_what_their_full_table_gives(
    sex: Sex, age: int, height_cm: int, median_l: float, lower_l: float
) -> None:
    """Bowerman et al. 2023: worked with the published quarter-year table."""
    player = predict_capacity(sex, height_cm, age, GLI)
    assert player.capacity_l == pytest.approx(median_l, rel=0.003)
    assert player.lower_l == pytest.approx(lower_l, rel=0.003)
    assert player.capacity_from == "predicted, GLI Global 2022"
    assert player.flow_scale == 1.0
