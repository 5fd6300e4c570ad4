"""Predicted capacity against public tables and worked values."""

from __future__ import annotations

import pytest

from coach.config import read_settings
from coach.planning.air.capacity_equations import GliEquation, NhanesEquation
from coach.planning.air.lungs import (
    CapacityEquations,
    LungLimits,
    Sex,
    predict_capacity,
)

LIMITS = read_settings(LungLimits, "lungs", "limits")
GLI = CapacityEquations(
    male=read_settings(GliEquation, "lungs", "gli_global.male"),
    female=read_settings(GliEquation, "lungs", "gli_global.female"),
    limits=LIMITS,
)
NHANES = CapacityEquations(
    male=read_settings(NhanesEquation, "lungs", "nhanes.male"),
    female=read_settings(NhanesEquation, "lungs", "nhanes.female"),
    limits=LIMITS,
)
CM_PER_INCH = 2.54


@pytest.mark.parametrize(
    ("inches", "age", "lower_l"),
    [
        (61.0, 49, 2.96),
        (61.0, 81, 1.86),
        (62.0, 63, 2.67),
        (63.5, 59, 2.99),
        (64.0, 55, 3.18),
        (65.0, 71, 2.77),
        (66.5, 49, 3.67),
        (67.0, 77, 2.81),
    ],
)
def test_nhanes_gives_the_lower_limits_of_the_federal_table(
    inches: float, age: int, lower_l: float
) -> None:
    """US 28 CFR Part 79, Appendix A: men's lower limit of normal, to 0.01 L.

    The table goes to 81 years and more; the survey's own range ends at 80, so the
    equation is asked and not `predict_capacity`.
    """
    assert NHANES.male.lower_l(inches * CM_PER_INCH, age) == pytest.approx(
        lower_l, abs=0.006
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


@pytest.mark.parametrize(
    ("sex", "age", "height_cm", "median_l", "lower_l"),
    [
        ("male", 30, 180, 5.624, 4.669),
        ("male", 16, 172, 4.584, 3.712),
        ("female", 30, 165, 3.895, 3.182),
        ("female", 16, 162, 3.626, 2.940),
    ],
)
def test_nhanes_gives_its_worked_values_for_both_sexes_young_and_grown(
    sex: Sex, age: int, height_cm: int, median_l: float, lower_l: float
) -> None:
    """Hankinson et al. 1999, tables 4 and 5; worked by a separate implementation."""
    player = predict_capacity(sex, height_cm, age, NHANES)
    assert player.capacity_l == pytest.approx(median_l, abs=0.001)
    assert player.lower_l == pytest.approx(lower_l, abs=0.001)


@pytest.mark.parametrize(("sex", "grown_up"), [("male", 20), ("female", 18)])
def test_the_curves_of_youth_and_age_meet(sex: Sex, grown_up: int) -> None:
    young = predict_capacity(sex, 170, grown_up - 1e-6, NHANES)
    grown = predict_capacity(sex, 170, grown_up, NHANES)
    assert young.capacity_l == pytest.approx(grown.capacity_l, abs=0.001)
