"""A player's flow from long tones."""

from __future__ import annotations

import pytest

from coach.config import read_settings
from coach.errors import ConfigError
from coach.planning.air.air import flow_lps
from coach.planning.air.air_settings import AirSettings
from coach.planning.air.long_tones import LongTone, fit_flow
from coach.planning.air.lungs import measured

AIR = read_settings(AirSettings, "air")


def test_a_long_tone_runs_out_when_the_player_did() -> None:
    player = measured(5.0)
    scale = fit_flow([LongTone(14.0, AIR.reference_hz, 0.0)], player, AIR).flow_scale
    flow = scale * flow_lps(AIR.reference_hz, 0.0, AIR)
    blown_l = (AIR.full_share - AIR.empty_share) * player.capacity_l
    assert flow * 14.0 == pytest.approx(blown_l)


def test_two_long_tones_also_set_the_step_of_dynamics() -> None:
    player = measured(5.0)
    tones = [LongTone(16.0, 174.6, 0.0), LongTone(6.0, 233.1, 2.0)]
    fit = fit_flow(tones, player, AIR)
    blown_l = (AIR.full_share - AIR.empty_share) * player.capacity_l
    for tone in tones:
        flow = (
            fit.flow_scale
            * AIR.flow_f3_mf_lps
            * fit.loud_step_factor**tone.loudness
            * (tone.hertz / AIR.reference_hz) ** -AIR.pitch_power
        )
        assert flow * tone.seconds == pytest.approx(blown_l)


@pytest.mark.parametrize("seconds", [0.0, 1.0, 500.0])
def test_nobody_holds_a_tone_like_that(seconds: float) -> None:
    with pytest.raises(ConfigError, match=r"is not between 3 and 120 s"):
        fit_flow([LongTone(seconds, 174.6, 0.0)], measured(5.0), AIR)


def test_two_tones_of_one_loudness_tell_nothing_of_dynamics() -> None:
    tones = [LongTone(16.0, 174.6, 0.0), LongTone(15.0, 233.1, 0.5)]
    with pytest.raises(ConfigError, match="equally loud"):
        fit_flow(tones, measured(5.0), AIR)


@pytest.mark.parametrize("louder_s", [20.0, 8.0])
def test_a_louder_tone_must_take_more_air(louder_s: float) -> None:
    tones = [LongTone(8.0, 174.6, 0.0), LongTone(louder_s, 174.6, 2.0)]
    with pytest.raises(ConfigError, match="took no more air"):
        fit_flow(tones, measured(5.0), AIR)
