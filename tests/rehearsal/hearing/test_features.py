"""What the ear notes of a sound: tones, silence, blocks of any length, clicks."""

from __future__ import annotations

import numpy as np
import pytest

from coach.edges.hearing.hearing_numbers import read_hearing_settings
from coach.rehearsal.hearing.features.click_bleed import HeardClick, take_out_clicks
from coach.rehearsal.hearing.features.decimation import Decimator
from coach.rehearsal.hearing.features.features import Features, FeatureTaker
from coach.rehearsal.hearing.features.ring import Ring
from coach.score.note import hertz_of

SETTINGS = read_hearing_settings()


def look(sound: np.ndarray, rate_hz: float, block: int) -> Features:
    """Take looks in blocks."""
    taker = FeatureTaker(rate_hz, 50, 60, SETTINGS.features)
    for begin in range(0, len(sound), block):
        taker.push(sound[begin : begin + block].astype(np.float32))
    return taker.finish()


def tone(midi: float, seconds: float, rate_hz: float) -> np.ndarray:
    """Sound a tone of twelve partials."""
    age = np.arange(round(seconds * rate_hz)) / rate_hz
    base = hertz_of(69) * 2 ** ((midi - 69) / 12)
    partials = [np.sin(2 * np.pi * n * base * age) / n for n in range(1, 13)]
    return np.asarray(0.1 * np.sum(partials, axis=0))


@pytest.mark.parametrize("midi", [50, 55, 60])
def test_the_key_that_sounds_fits_best(midi: int) -> None:
    looks = look(tone(midi, 0.6, 44_100.0), 44_100.0, 4096)
    best = looks.pitches[looks.salience[40:80].argmax(axis=1)]
    assert np.abs(best - midi).max() <= 0.2


@pytest.mark.parametrize("block", [7, 160, 1111])
def test_blocks_of_any_length_give_the_same_looks(block: int) -> None:
    sound = tone(55, 0.4, 48_000.0)
    at_once, along = look(sound, 48_000.0, len(sound)), look(sound, 48_000.0, block)
    for name in ("salience", "level_db", "flux", "fresh_db", "bright_db", "sound"):
        one, other = getattr(at_once, name), getattr(along, name)
        assert one.shape == other.shape
        assert np.allclose(one, other, atol=2e-3), name


def test_a_sound_keeps_its_time_at_the_low_rate() -> None:
    sound = np.zeros(48_000, dtype=np.float32)
    sound[24_000] = 1.0
    decimator = Decimator(48_000.0, SETTINGS.features)
    low = np.concatenate([decimator.push(sound), decimator.finish()])
    assert int(low.argmax()) / decimator.rate_hz == pytest.approx(0.5, abs=1e-4)


def test_a_low_rate_is_left_as_it_is() -> None:
    sound = np.arange(100, dtype=np.float32)
    decimator = Decimator(8_000.0, SETTINGS.features)
    assert decimator.push(sound).tolist() == sound.tolist()
    assert len(decimator.finish()) == 0


def clicks_in(sound: np.ndarray, level: float, count: int) -> list[HeardClick]:
    """Add clicks to a sound, every quarter of a second."""
    age = np.arange(2_000) / 48_000.0
    click = level * np.exp(-age / 0.006) * np.sin(2 * np.pi * 1_500.0 * age)
    places = [12_000 * (k + 1) for k in range(count)]
    for place in places:
        sound[place : place + len(click)] += click
    return [HeardClick(place / 48_000.0, 0) for place in places]


def test_our_own_click_is_learnt_and_taken_out() -> None:
    sound = 0.001 * np.random.default_rng(1).normal(0.0, 1.0, 120_000)
    quiet = look(sound, 48_000.0, 4096)
    clicks = clicks_in(sound, 0.3, 8)
    loud = look(sound, 48_000.0, 4096)
    clean = look_without(sound, clicks)
    at = round(clicks[3].at / loud.hop_s)
    assert loud.level_db[at] > quiet.level_db[at] + 20.0
    assert clean.level_db[at] < quiet.level_db[at] + 6.0
    assert clean.level_db[0] == loud.level_db[0]
    close = [HeardClick(click.at + late, 0) for click in clicks for late in (0.0, 0.02)]
    assert not np.array_equal(look_without(sound, close).level_db, loud.level_db)
    far = round((clicks[-1].at + 0.3) / loud.hop_s)
    assert clean.level_db[far] == loud.level_db[far]


def test_a_click_that_is_not_heard_or_not_known_well_is_left_alone() -> None:
    sound = 0.01 * np.random.default_rng(1).normal(0.0, 1.0, 120_000)
    clicks = clicks_in(sound, 0.0, 8)
    taker = FeatureTaker(48_000.0, 50, 60, SETTINGS.features)
    taker.push(sound.astype(np.float32))
    looks = taker.finish()
    assert take_out_clicks(looks, taker, clicks, SETTINGS.bleed) is looks
    assert take_out_clicks(looks, taker, clicks[:2], SETTINGS.bleed) is looks
    assert take_out_clicks(looks, taker, [], SETTINGS.bleed) is looks


def test_a_click_that_stands_alone_once_is_learnt_beside_a_loud_horn() -> None:
    quiet = 0.001 * np.random.default_rng(1).normal(0.0, 1.0, 120_000)
    horn = tone(50, 2.0, 48_000.0)
    quiet[20_000 : 20_000 + len(horn)] += horn
    both = quiet.copy()
    clicks = clicks_in(both, 0.05, 8)
    before = look(both, 48_000.0, 4096)
    after = look_without(both, clicks)
    at = round(clicks[0].at / before.hop_s)
    assert after.level_db[at] < before.level_db[at] - 6.0


def look_without(sound: np.ndarray, clicks: list[HeardClick]) -> Features:
    """Take looks and take the clicks out of them."""
    taker = FeatureTaker(48_000.0, 50, 60, SETTINGS.features)
    taker.push(sound.astype(np.float32))
    return take_out_clicks(taker.finish(), taker, clicks, SETTINGS.bleed)


def test_a_cough_on_one_click_is_not_taken_for_the_click() -> None:
    draw = np.random.default_rng(2)
    sound = 0.001 * draw.normal(0.0, 1.0, 120_000)
    horn = tone(50, 2.0, 48_000.0)
    sound[20_000 : 20_000 + len(horn)] += horn
    clicks = clicks_in(sound, 0.0, 8)
    sound[12_000:14_000] += 0.05 * draw.normal(0.0, 1.0, 2_000)
    taker = FeatureTaker(48_000.0, 50, 60, SETTINGS.features)
    taker.push(sound.astype(np.float32))
    looks = taker.finish()
    assert take_out_clicks(looks, taker, clicks, SETTINGS.bleed) is looks


def rung(looks: int, falls: float) -> np.ndarray:
    """Give spectra of a sound that stops after so many looks and then rings off."""
    after = 0.3 * falls ** np.arange(40)
    level = np.concatenate([np.ones(looks), after])
    return np.repeat(level[:, None], 3, axis=1).astype(np.float32)


def test_what_rings_is_taken_off_and_a_new_sound_stays() -> None:
    power = rung(60, 0.9)
    power[70:, 2] += 1.0
    dry = Ring(0.005, SETTINGS.features).dried(power)
    assert dry[50, 0] == pytest.approx(1.0 - SETTINGS.features.ring_share, abs=0.01)
    assert dry[70, 0] == pytest.approx(0.02 * power[70, 0])
    assert dry[70, 2] > 0.5


@pytest.mark.parametrize("cut", [1, 33, 64])
def test_a_ring_is_followed_from_block_to_block(cut: int) -> None:
    power = rung(60, 0.8)
    whole = Ring(0.005, SETTINGS.features).dried(power)
    ring = Ring(0.005, SETTINGS.features)
    parts = np.concatenate([ring.dried(power[:cut]), ring.dried(power[cut:])])
    assert np.allclose(whole, parts, atol=1e-5)
    ring.forget()
    assert np.allclose(ring.dried(power), whole, atol=1e-6)
