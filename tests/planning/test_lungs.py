"""Capacity against public tables, and flow from long tones."""

from __future__ import annotations

import pytest

from coach.config import read_settings
from coach.errors import ConfigError
from coach.planning.air import AirSettings, flow_lps
from coach.planning.lungs import (
    CapacityEquations,
    GliEquation,
    LongTone,
    LungLimits,
    NhanesEquation,
    Sex,
    calibrate,
    flow_scale_from_long_tone,
    measured,
    predict_capacity,
)

AIR = read_settings(AirSettings, "air")
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


def test_healthy_people_differ_by_a_fifth() -> None:
    """The lower limit is about 0.78 of the median (Bowerman et al. 2023)."""
    player = predict_capacity("female", 168, 35, GLI)
    assert 0.74 < player.lower_l / player.capacity_l < 0.82


@pytest.mark.parametrize("age", [9.9, 95.1, float("nan")])
def test_outside_its_ages_an_equation_says_nothing(age: float) -> None:
    with pytest.raises(ConfigError, match="holds from 10 to 95 years") as caught:
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


def test_a_long_tone_runs_out_when_the_player_did() -> None:
    player = measured(5.0)
    scale = flow_scale_from_long_tone(14.0, player, AIR)
    flow = scale * flow_lps(AIR.reference_hz, 0.0, AIR)
    blown_l = (AIR.full_share - AIR.empty_share) * player.capacity_l
    assert flow * 14.0 == pytest.approx(blown_l)


def test_two_long_tones_also_set_the_step_of_dynamics() -> None:
    player = measured(5.0)
    tones = [LongTone(16.0, 174.6, 0.0), LongTone(6.0, 233.1, 2.0)]
    calibration = calibrate(tones, player, AIR)
    blown_l = (AIR.full_share - AIR.empty_share) * player.capacity_l
    for tone in tones:
        flow = (
            calibration.flow_scale
            * AIR.flow_f3_mf_lps
            * calibration.loud_step_factor**tone.loudness
            * (tone.hertz / AIR.reference_hz) ** -AIR.pitch_power
        )
        assert flow * tone.seconds == pytest.approx(blown_l)


@pytest.mark.parametrize("seconds", [0.0, 1.0, 500.0])
def test_nobody_holds_a_tone_like_that(seconds: float) -> None:
    with pytest.raises(ConfigError, match=r"is not between 3 and 120 s"):
        flow_scale_from_long_tone(seconds, measured(5.0), AIR)


def test_two_tones_of_one_loudness_tell_nothing_of_dynamics() -> None:
    tones = [LongTone(16.0, 174.6, 0.0), LongTone(15.0, 233.1, 0.5)]
    with pytest.raises(ConfigError, match="equally loud"):
        calibrate(tones, measured(5.0), AIR)


def test_a_louder_tone_must_take_more_air() -> None:
    tones = [LongTone(8.0, 174.6, 0.0), LongTone(20.0, 174.6, 2.0)]
    with pytest.raises(ConfigError, match="took no more air"):
        calibrate(tones, measured(5.0), AIR)
