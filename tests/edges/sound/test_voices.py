"""The built-in voices: begun on their sample, in tune, no louder than they may be."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from coach.edges.sound.voices import Samples, Voices, loudness, read_voices
from coach.rehearsal.click.clicks import Click, SoundKind
from coach.score.tempo import Seconds

RATE_HZ = 48_000.0
PERCUSSION = 9


VOICES = read_voices(RATE_HZ)


@pytest.fixture
def voices() -> Voices:
    return VOICES


def click(
    kind: SoundKind = SoundKind.BEAT,
    key: int = 77,
    velocity: int = 127,
    length: float = 0.05,
) -> Click:
    return Click(Seconds(0.0), Seconds(length), kind, PERCUSSION, key, velocity)


def sounded(voices: Voices, asked: Click, starts: int, count: int) -> Samples:
    """Give the first samples of a sound, as one block."""
    block = np.zeros(count, dtype=np.float32)
    voices.sound(asked, starts).add_to(block, 0)
    return block


def pitch_hz(sound: Samples) -> float:
    """Tell the pitch by the strongest place of the spectrum and its neighbours."""
    window = np.hanning(len(sound))
    power = np.abs(np.fft.rfft(sound * window)) ** 2
    k = int(np.argmax(power))
    low, mid, high = np.log(power[k - 1 : k + 2])
    return float(
        (k + (low - high) / (2 * (low - 2 * mid + high))) * RATE_HZ / len(sound)
    )


def brightness(sound: Samples) -> float:
    """Give the centre of the spectrum, in Hz."""
    power = np.abs(np.fft.rfft(sound)) ** 2
    return float((power * np.fft.rfftfreq(len(sound), 1 / RATE_HZ)).sum() / power.sum())


@pytest.mark.parametrize("key", [76, 77, 37, 70, 33, 34, 56])
def test_a_stroke_begins_on_its_very_sample(voices: Voices, key: int) -> None:
    sound = sounded(voices, click(key=key), starts=1234, count=9600)
    assert int(np.flatnonzero(sound)[0]) == 1234


@pytest.mark.parametrize("kind", [SoundKind.GUIDE, SoundKind.DRONE])
def test_a_held_note_begins_on_its_sample_and_ends(
    voices: Voices, kind: SoundKind
) -> None:
    held = click(kind, key=58, length=0.5)
    sound = sounded(voices, held, starts=1000, count=48_000)
    assert not sound[:1000].any()
    assert sound[1001]
    assert np.abs(sound[20_000:24_000]).max() > 0.1
    assert not sound[1000 + 24_000 + 9600 :].any()


@given(
    cuts=st.lists(st.integers(1, 700), min_size=1, max_size=30),
    kind=st.sampled_from([SoundKind.BEAT, SoundKind.GUIDE, SoundKind.DRONE]),
    starts=st.integers(0, 600),
)
def test_it_does_not_matter_into_which_blocks_a_sound_is_cut(
    cuts: list[int], kind: SoundKind, starts: int
) -> None:
    asked = click(kind, key=60, length=0.02)
    whole = sounded(VOICES, asked, starts, sum(cuts))
    sound, first = VOICES.sound(asked, starts), 0
    pieces: list[NDArray[np.float32]] = []
    for size in cuts:
        block = np.zeros(size, dtype=np.float32)
        sound.add_to(block, first)
        pieces.append(block)
        first += size
    assert np.array_equal(np.concatenate(pieces), whole)


@pytest.mark.parametrize(("key", "hz"), [(69, 440.0), (57, 220.0), (46, 116.541)])
def test_guide_notes_are_in_equal_temperament(
    voices: Voices, key: int, hz: float
) -> None:
    """116.541 Hz is Bb2: 440 Hz times 2 to the power of -23/12."""
    sound = sounded(voices, click(SoundKind.GUIDE, key, length=2.0), 0, 96_000)
    fundamental = pitch_hz(sound[4800:])
    cents = 1200 * np.log2(fundamental / hz)
    partial = round(fundamental / hz)
    cents -= 1200 * np.log2(partial)
    assert abs(cents) < 1.0


def test_a_louder_guide_note_is_brighter(voices: Voices) -> None:
    soft = sounded(voices, click(SoundKind.GUIDE, 58, 30, 0.5), 0, 20_000)
    loud = sounded(voices, click(SoundKind.GUIDE, 58, 120, 0.5), 0, 20_000)
    assert brightness(loud) > 1.2 * brightness(soft)


def test_the_highest_key_has_no_partial_that_folds_back(voices: Voices) -> None:
    sound = sounded(voices, click(SoundKind.GUIDE, 127, length=0.5), 0, 20_000)
    power = np.abs(np.fft.rfft(sound * np.hanning(len(sound)))) ** 2
    below = power[: int(12_000 / RATE_HZ * len(sound))].sum()
    assert below < 1e-4 * power.sum()


def test_loudness_is_the_square_of_velocity() -> None:
    assert loudness(127) == 1.0
    assert loudness(64) == pytest.approx((64 / 127) ** 2)
    assert loudness(0) == 0.0


def test_an_accent_differs_from_a_beat_and_a_cue_from_both(voices: Voices) -> None:
    accent, beat, cue = (
        sounded(voices, click(key=key), 0, 2000) for key in (76, 77, 70)
    )
    assert pitch_hz(accent) > 1.2 * pitch_hz(beat)
    assert brightness(cue) > 1.5 * brightness(accent)


def test_a_key_without_a_stroke_of_its_own_sounds_all_the_same(voices: Voices) -> None:
    assert np.abs(sounded(voices, click(key=56), 0, 2000)).max() > 0.5
