"""Round trips measured from clicks whose delay is known."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.config import read_settings
from coach.errors import GearError
from coach.rehearsal.click.click_settings import ClickSettings
from coach.rehearsal.hearing.calibration import (
    RoundTripSettings,
    lay_round_trip,
    measure_round_trip,
)
from coach.score.tempo import Seconds

SETTINGS = read_settings(RoundTripSettings, "sound", "round_trip")
TRACK = lay_round_trip(read_settings(ClickSettings, "click", "track"), SETTINGS)
DUE = [click.due for click in TRACK.clicks]


def heard(delays: list[float]) -> list[Seconds]:
    return [Seconds(due + delay) for due, delay in zip(DUE, delays, strict=False)]


def test_there_are_enough_clicks_and_time_to_hear_the_last() -> None:
    assert len(DUE) == SETTINGS.clicks_count
    assert all(before < after for before, after in pairwise(DUE))
    assert TRACK.ends >= DUE[-1] + SETTINGS.farthest_s


@given(
    delay=st.floats(-0.05, 0.75),
    scatter=st.lists(st.floats(-0.0009, 0.0009), min_size=16, max_size=16),
    noise=st.lists(st.floats(0.0, 7.0), max_size=6),
)
def test_the_delay_is_found_whatever_else_is_heard(
    delay: float, scatter: list[float], noise: list[float]
) -> None:
    sounds = heard([delay + each for each in scatter])
    found = measure_round_trip(DUE, [*sounds, *map(Seconds, noise)], SETTINGS)
    assert found.delay == pytest.approx(delay, abs=0.001)
    assert found.heard >= 16
    assert found.spread <= SETTINGS.most_spread_s


def test_a_wireless_link_that_is_a_click_late_is_not_taken_for_an_early_one() -> None:
    """Distances are uneven, so only the right pairs agree."""
    assert measure_round_trip(DUE, heard([0.4] * 16), SETTINGS).delay == pytest.approx(
        0.4
    )


def test_a_few_clicks_may_be_lost() -> None:
    assert measure_round_trip(DUE, heard([0.02] * 10), SETTINGS).heard == 10


def test_too_few_clicks_are_refused() -> None:
    with pytest.raises(GearError, match="heard 5 of 16 clicks"):
        measure_round_trip(DUE, heard([0.02] * 5), SETTINGS)


def test_silence_is_refused() -> None:
    with pytest.raises(GearError, match="heard 0 of 16 clicks"):
        measure_round_trip(DUE, [], SETTINGS)


def test_a_delay_that_scatters_is_refused() -> None:
    """Sound that comes through with 5 ms of scatter cannot be told to 2 ms."""
    with pytest.raises(GearError, match="within 2 ms of each other"):
        measure_round_trip(DUE, heard([0.005 * (k % 5) for k in range(16)]), SETTINGS)


def test_sounds_far_from_any_click_are_none_of_ours() -> None:
    far = [Seconds(DUE[-1] + 2.0 + k) for k in range(16)]
    with pytest.raises(GearError, match="clicks"):
        measure_round_trip(DUE, far, SETTINGS)
