"""Onsets of clicks and tongued notes, by sounds whose beginning is known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from coach.config import read_settings
from coach.rehearsal.gear.gear import SoundHeard
from coach.rehearsal.hearing.onsets import OnsetSettings, find_heard_onsets, find_onsets
from coach.score.tempo import Seconds

RATE_HZ = 48_000.0
Sound = NDArray[np.float64]


def silence(seconds: float) -> Sound:
    return np.zeros(round(seconds * RATE_HZ))


def add_click(sound: Sound, at: float, level: float = 0.3) -> None:
    """Add a click that dies away within 40 ms."""
    age = np.arange(round(0.04 * RATE_HZ)) / RATE_HZ
    wave = level * np.cos(2 * np.pi * 1200 * age) * np.exp(-age / 0.006)
    begin = round(at * RATE_HZ)
    sound[begin : begin + len(wave)] += wave


def add_note(
    sound: Sound, at: float, length: float, rise: float, level: float = 0.2
) -> None:
    """Add a note of five partials that rises and falls in straight lines."""
    age = np.arange(round(length * RATE_HZ)) / RATE_HZ
    wave = sum(np.sin(2 * np.pi * 233.0 * n * age) / n for n in range(1, 6))
    height = np.clip(age / rise, 0.0, 1.0) * np.clip((length - age) / 0.02, 0.0, 1.0)
    begin = round(at * RATE_HZ)
    sound[begin : begin + len(age)] += level * wave * height


def room(sound: Sound, level: float) -> Sound:
    """Add the noise of a room."""
    return sound + level * np.random.default_rng(1).standard_normal(len(sound))


def test_silence_has_no_onsets() -> None:
    assert find_onsets(silence(1.0), RATE_HZ).tolist() == []
    assert find_onsets([], RATE_HZ).tolist() == []


def test_noise_alone_has_no_onsets() -> None:
    assert find_onsets(room(silence(2.0), 0.01), RATE_HZ).tolist() == []


@given(
    gaps=st.lists(st.floats(0.08, 0.5), min_size=1, max_size=8),
    level=st.floats(0.01, 1.0),
)
def test_clicks_are_found_to_half_a_millisecond(
    gaps: list[float], level: float
) -> None:
    true = np.cumsum([0.2, *gaps])
    sound = silence(float(true[-1]) + 0.3)
    for at in true:
        add_click(sound, float(at), level)
    found = find_onsets(sound, RATE_HZ)
    assert len(found) == len(true)
    assert np.abs(found - true).max() < 0.0005


def test_clicks_are_found_in_a_noisy_room() -> None:
    """A click 20 dB above the room's effective value."""
    true = np.arange(0.3, 4.0, 0.3)
    sound = silence(4.5)
    for at in true:
        add_click(sound, float(at), 0.3)
    found = find_onsets(room(sound, 0.01), RATE_HZ)
    assert len(found) == len(true)
    assert np.abs(found - true).max() < 0.001


@pytest.mark.parametrize("rise", [0.008, 0.02, 0.047])
def test_tongued_notes_are_found_while_they_rise(rise: float) -> None:
    """Brass reaches its height within 8 to 47 ms: our own measure on samples."""
    true = [0.3, 0.8, 1.3]
    sound = silence(2.0)
    for at in true:
        add_note(sound, at, 0.4, rise)
    found = find_onsets(room(sound, 0.0005), RATE_HZ)
    assert len(found) == 3
    assert ((found >= np.array(true) - 0.001) & (found <= np.array(true) + rise)).all()


def test_tongued_notes_with_no_gap_between_are_told_apart() -> None:
    """A tongue stops the sound for some hundredths of a second."""
    sound = silence(2.0)
    for at in (0.3, 0.55, 0.8, 1.05):
        add_note(sound, at, 0.22, 0.02)
    found = find_onsets(room(sound, 0.0005), RATE_HZ)
    assert found == pytest.approx([0.3, 0.55, 0.8, 1.05], abs=0.02)


def test_a_swell_is_no_onset() -> None:
    sound = silence(3.0)
    add_note(sound, 0.1, 2.5, rise=2.4)
    found = find_onsets(room(sound, 0.001), RATE_HZ)
    assert len(found[found > 0.5]) == 0


def test_an_onset_in_the_very_first_sample_has_nothing_to_rise_from() -> None:
    sound = silence(0.5)
    add_click(sound, 0.0)
    add_click(sound, 0.25)
    assert find_onsets(sound, RATE_HZ) == pytest.approx([0.25], abs=0.0005)


def test_onsets_in_blocks_go_by_the_stamp_of_their_block() -> None:
    """The second block was in the air 7 ms later than the first one's end."""
    sound = silence(1.0)
    add_click(sound, 0.2)
    add_click(sound, 0.7)
    halves = sound.astype("<f4").reshape(2, -1)
    stamps = (-1.0, -0.493)
    blocks = [
        SoundHeard(Seconds(at), RATE_HZ, half.tobytes())
        for at, half in zip(stamps, halves, strict=True)
    ]
    assert find_heard_onsets(blocks) == pytest.approx([-0.8, -0.293], abs=0.0005)


def test_sounds_closer_than_asked_for_count_once() -> None:
    sound = silence(1.0)
    for at in (0.2, 0.3, 0.6):
        add_click(sound, at)
    shipped = read_settings(OnsetSettings, "sound", "onsets")
    assert len(find_onsets(sound, RATE_HZ, shipped)) == 3
    assert len(find_onsets(sound, RATE_HZ, replace(shipped, apart_s=0.2))) == 2


def test_no_blocks_have_no_onsets() -> None:
    assert find_heard_onsets([]) == []
