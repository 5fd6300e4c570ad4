"""The air of winds that are no brass, held to what their players know."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.config import read_settings, read_shipped
from coach.errors import ConfigError
from coach.planning.air.air import flow_lps
from coach.planning.air.air_settings import AirSettings
from coach.planning.air.long_tones import LongTone, fit_flow
from coach.planning.air.lungs import measured
from coach.planning.air.winds import BRASS, WindAir, air_of_wind
from coach.planning.instrument.instrument_entry import InstrumentEntry, build_entry
from coach.score.note import hertz_of

AIR = read_settings(AirSettings, "air")
TRAINED_L = 4.75

HELD_S = {
    "tenor-trombone": (13.0, 20.0),
    "flute": (15.0, 20.0),
    "oboe": (25.0, 35.0),
    "clarinet": (24.0, 32.0),
    "bassoon": (22.0, 28.0),
    "alto-saxophone": (17.0, 23.0),
    "voice": (18.0, 28.0),
}
"""How long a trained player of 4.75 L holds the instrument's long tone at mezzo-forte.

Common practice, no published source.
"""


def entry(name: str) -> InstrumentEntry:
    return build_entry(name, read_shipped(f"instruments/{name}"), name)


def law(name: str, capacity_l: float = TRAINED_L) -> AirSettings:
    wind = entry(name).wind
    if wind == BRASS:
        return AIR
    return air_of_wind(AIR, read_settings(WindAir, "winds", wind), capacity_l)


def lasts_s(air: AirSettings, midi: int, loudness: float, capacity_l: float) -> float:
    blown_l = (air.full_share - air.empty_share) * capacity_l
    return blown_l / flow_lps(hertz_of(midi), loudness, air)


@pytest.mark.parametrize("name", HELD_S)
def test_a_trained_player_holds_the_long_tone_as_its_players_do(name: str) -> None:
    least, most = HELD_S[name]
    lasts = lasts_s(law(name), entry(name).long_tone.midi, 0.0, TRAINED_L)
    assert least <= lasts <= most


@pytest.mark.parametrize("capacity_l", [3.0, 4.5, 6.5])
def test_an_oboes_air_is_stale_at_the_same_time_whatever_the_lungs(
    capacity_l: float,
) -> None:
    """Common practice, no published source: the limit is time since the breath."""
    air = law("oboe", capacity_l)
    stale_s = read_settings(WindAir, "winds", "oboe").stale_after_s
    for midi in range(58, 94):
        assert lasts_s(air, midi, -2.0, capacity_l) <= stale_s + 1e-9
    assert lasts_s(air, 93, -3.0, capacity_l) == pytest.approx(stale_s)


def test_no_reed_or_flute_falls_with_pitch_as_brass_does() -> None:
    """Of the reference tone, an octave up: from memory."""
    for name in read_shipped("winds"):
        if name in ("about", "source"):
            continue
        wind = read_settings(WindAir, "winds", name)
        air = air_of_wind(AIR, wind, TRAINED_L)
        at = hertz_of(wind.reference_midi)
        bare = replace(air, floor_lps=1e-9)
        assert flow_lps(at, 0.0, bare) == pytest.approx(wind.flow_mf_lps)
        share = flow_lps(2.0 * at, 0.0, bare) / wind.flow_mf_lps
        assert 2.0**-AIR.pitch_power < share <= 1.0


def test_two_tones_are_run_out_of_when_the_player_did_even_where_air_is_stale() -> None:
    air, player = law("oboe"), measured(TRAINED_L)
    assert flow_lps(hertz_of(67), 0.0, air) == air.floor_lps
    tones = [LongTone(33.0, hertz_of(67), 0.0), LongTone(22.0, hertz_of(72), 2.0)]
    fit = fit_flow(tones, player, air)
    own = replace(air, loud_step_factor=fit.loud_step_factor)
    blown_l = (air.full_share - air.empty_share) * TRAINED_L
    for tone in tones:
        flow = fit.flow_scale * flow_lps(tone.hertz, tone.loudness, own)
        assert blown_l / flow == pytest.approx(tone.seconds)


@pytest.mark.parametrize("wrong", [{"stale_after_s": -1.0}, {"flow_mf_lps": 0.0}])
def test_air_that_no_wind_takes_is_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ConfigError, match="settings for winds do not work"):
        replace(read_settings(WindAir, "winds", "oboe"), **wrong)  # type: ignore[arg-type]
