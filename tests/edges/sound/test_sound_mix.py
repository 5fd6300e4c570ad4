"""Tracks played by sample number, without any device."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from coach.config import read_settings
from coach.edges.sound.sound_mix import MixSettings, SoundMix, hold_down, place_track
from coach.edges.sound.taken_sound import TakeLevel, TakeToPlay, hold_take
from coach.edges.sound.voices import Voices, read_voices
from coach.rehearsal.click.clicks import Click, ClickTrack, SoundKind, lay_take
from coach.rehearsal.gear.gear import SoundHeard
from coach.score.tempo import Seconds

RATE_HZ = 48_000.0
BLOCK = 480
SETTINGS = MixSettings(0.25, 0.5, 0.7, fade=192, skip_late=240)
VOICES = read_voices(RATE_HZ)


class Sounding:
    """A mix, and all that it made and told."""

    def __init__(self, voices: Voices = VOICES) -> None:
        self.told: list[tuple[Click, int, bool]] = []
        self.mix = SoundMix(
            voices, SETTINGS, RATE_HZ, lambda *fact: self.told.append(fact)
        )
        self.first = 0
        self.blocks: list[NDArray[np.float32]] = []

    def play(self, track: ClickTrack, zero: int = 0) -> None:
        self.mix.play(place_track(track, RATE_HZ), zero, self.first)

    def change(self, track: ClickTrack) -> None:
        self.mix.change(place_track(track, RATE_HZ), self.first)

    def run(self, until: int) -> NDArray[np.float32]:
        """Fill blocks up to a sample; give all that was made so far."""
        while self.first < until:
            self.blocks.append(self.mix.fill(self.first, BLOCK))
            self.first += BLOCK
        return np.concatenate(self.blocks)


def beat(due: float, velocity: int = 127) -> Click:
    return Click(Seconds(due), Seconds(0.05), SoundKind.BEAT, 9, 77, velocity)


def held(kind: SoundKind, due: float, length: float, key: int = 58) -> Click:
    channel = 0 if kind is SoundKind.GUIDE else 1
    return Click(Seconds(due), Seconds(length), kind, channel, key, 100)


def track(*clicks: Click) -> ClickTrack:
    return ClickTrack(clicks, Seconds(0.0), Seconds(10.0))


def starts(sound: NDArray[np.float32]) -> list[int]:
    """Find the first sample of each stroke."""
    loud = np.flatnonzero(sound)
    return [int(at) for at in loud[np.diff(loud, prepend=-BLOCK) > 100]]


@given(bpm=st.floats(40.0, 240.0), zero=st.integers(0, 2000))
def test_every_click_is_on_the_sample_nearest_to_its_due_time(
    bpm: float, zero: int
) -> None:
    """Each is rounded by itself: no error adds up from click to click."""
    sounding = Sounding()
    clicks = [beat(k * 60.0 / bpm) for k in range(4)]
    sounding.play(track(*clicks), zero)
    places = [zero + round(click.due * RATE_HZ) for click in clicks]
    assert starts(sounding.run(places[-1] + 4800)) == places
    assert [at for _, at, _ in sounding.told] == places


def test_a_silent_click_is_told_and_not_heard() -> None:
    sounding = Sounding()
    sounding.play(track(beat(0.0, velocity=0), beat(0.1)))
    assert starts(sounding.run(9600)) == [4800]
    assert [is_heard for _, _, is_heard in sounding.told] == [False, True]


def test_a_stop_ends_all_sound_within_a_few_samples() -> None:
    sounding = Sounding()
    sounding.play(track(held(SoundKind.DRONE, 0.0, 9.0), beat(0.5)))
    before = sounding.run(14_400)
    sounding.mix.stop()
    sound = sounding.run(48_000)
    assert np.abs(before[-BLOCK:]).max() > 0.01
    assert not sound[14_400 + SETTINGS.fade :].any()
    steps = np.abs(np.diff(sound[12_000:]))
    assert steps[2400:].max() <= 1.2 * steps[:2400].max(), "the end is a click itself"


def test_a_track_joined_in_the_middle_leaves_out_what_is_past() -> None:
    sounding = Sounding()
    sounding.run(24_000)
    clicks = [beat(k * 0.25) for k in range(6)]
    sounding.play(track(held(SoundKind.DRONE, 0.0, 1.0), *clicks), zero=0)
    sound = sounding.run(96_000)
    assert sound[24_000:24_960].any(), "the drone is joined at once"
    assert not sound[48_000 + 9600 + 14_400 + 2000 :].any()
    strokes = [at for click, at, _ in sounding.told if click.kind is SoundKind.BEAT]
    assert strokes == [24_000, 36_000, 48_000, 60_000]


def test_a_changed_track_goes_on_and_keeps_what_both_hold() -> None:
    sounding = Sounding()
    drone = held(SoundKind.DRONE, 0.0, 4.0)
    guide = held(SoundKind.GUIDE, 0.0, 4.0, key=65)
    sounding.play(track(drone, guide, beat(0.5)))
    sounding.run(12_000)
    alone = Sounding()
    alone.play(track(drone))
    alone.run(12_000)
    sounding.change(track(drone, beat(0.75)))
    sound, only_drone = sounding.run(36_000), alone.run(36_000)
    assert np.array_equal(sound[16_800:35_000], only_drone[16_800:35_000])
    assert starts(sounding.run(40_000) - alone.run(40_000))[-1] == 36_000


def test_a_change_plays_no_click_twice() -> None:
    sounding = Sounding()
    clicks = [beat(k * 0.1) for k in range(10)]
    sounding.play(track(*clicks))
    for _ in range(10):
        sounding.run(sounding.first + BLOCK)
        sounding.change(track(*clicks))
    sounding.run(60_000)
    assert [at for _, at, _ in sounding.told] == [k * 4800 for k in range(10)]


def test_a_drone_that_a_change_brings_is_heard_at_once() -> None:
    sounding = Sounding()
    sounding.play(track(beat(0.0)))
    sounding.run(12_000)
    sounding.change(track(beat(0.0), held(SoundKind.DRONE, 0.0, 4.0)))
    assert np.abs(sounding.run(24_000)[18_000:]).max() > 0.01


def test_a_change_with_nothing_playing_changes_nothing() -> None:
    sounding = Sounding()
    sounding.change(track(beat(0.0)))
    assert not sounding.run(4800).any()
    assert not sounding.mix.is_playing


def test_a_note_struck_again_ends_the_one_before() -> None:
    sounding = Sounding()
    once = held(SoundKind.GUIDE, 0.0, 4.0)
    sounding.play(track(once, replace(once, due=Seconds(0.5), length=Seconds(0.1))))
    assert not sounding.run(48_000)[24_000 + 4800 + 2000 :].any()


def test_run_time_moved_moves_only_what_comes() -> None:
    """After dropped sound the grid lies elsewhere, and the next click is on it."""
    sounding = Sounding()
    sounding.play(track(*(beat(k * 0.1) for k in range(5))))
    sounding.run(12_000)
    sounding.mix.zero = -300
    assert starts(sounding.run(24_000)) == [0, 4800, 9600, 14_100, 18_900]


def test_a_click_that_is_far_too_late_is_left_out() -> None:
    sounding = Sounding()
    sounding.play(track(*(beat(k * 0.1) for k in range(4))))
    sounding.run(4320)
    sounding.mix.zero = -3000  # the second click's place is gone by
    assert starts(sounding.run(24_000)) == [0, 6600, 11_400]
    assert [is_heard for _, _, is_heard in sounding.told] == [True, False, True, True]


def test_where_the_grid_is_in_doubt_strokes_are_left_out_and_notes_are_not() -> None:
    sounding = Sounding()
    sounding.mix.leaves_out_strokes = True
    sounding.play(track(beat(0.0), held(SoundKind.GUIDE, 0.0, 0.2)))
    sounding.run(4800)
    assert [is_heard for _, _, is_heard in sounding.told] == [False, True]


def wave(count: int, rate_hz: float) -> TakeToPlay:
    """Make a take that swings a hundred times a second."""
    sound = np.sin(np.arange(count) * (2.0 * np.pi * 100.0 / rate_hz))
    return TakeToPlay(sound.astype(np.float32), rate_hz)


@pytest.mark.parametrize("rate_hz", [48_000.0, 44_100.0, 22_050.0])
def test_a_take_of_any_rate_sounds_at_its_pitch_and_to_its_end(rate_hz: float) -> None:
    sounding = Sounding(read_voices(RATE_HZ))
    sounding.mix.hold_take(wave(round(rate_hz / 2), rate_hz))
    sounding.play(lay_take(Seconds(0.1), Seconds(0.6)))
    sound = sounding.run(48_000)
    age = np.arange(24_000)[480:-480]
    due = np.sin(age * (2.0 * np.pi * 100.0 / RATE_HZ)) * SETTINGS.volume_share
    assert sound[4800:28_800][480:-480] == pytest.approx(due, abs=0.001)
    assert not sound[:4800].any()
    assert not sound[28_800:].any()


def test_a_take_is_joined_in_the_middle_where_it_is_by_then() -> None:
    whole, late = Sounding(read_voices(RATE_HZ)), Sounding(read_voices(RATE_HZ))
    for sounding in (whole, late):
        sounding.mix.hold_take(wave(24_000, RATE_HZ))
    whole.play(lay_take(Seconds(0.0), Seconds(0.5)))
    late.run(9600)
    late.play(lay_take(Seconds(0.0), Seconds(0.5)))
    assert np.array_equal(whole.run(24_000)[9600:], late.run(24_000)[9600:])


def test_a_stop_ends_a_take_and_no_take_is_silence() -> None:
    sounding = Sounding(read_voices(RATE_HZ))
    sounding.mix.hold_take(wave(24_000, RATE_HZ))
    sounding.play(lay_take(Seconds(0.0), Seconds(0.5)))
    sounding.run(4800)
    sounding.mix.stop()
    assert not sounding.run(9600)[5280:].any()
    sounding.mix.hold_take(hold_take(()))
    sounding.play(lay_take(Seconds(0.0), Seconds(0.5)))
    assert not sounding.run(19_200)[9600:].any()


def test_a_soft_take_is_made_louder_and_a_loud_one_softer_by_one_measure() -> None:
    level = read_settings(TakeLevel, "sound", "take")
    for loudest in (0.5, 1.0):
        block = SoundHeard(Seconds(0.0), 8000.0, np.float32(loudest).tobytes())
        assert hold_take((block,)).samples[0] == pytest.approx(level.level_share)
    block = SoundHeard(Seconds(0.0), 8000.0, np.float32(0.001).tobytes())
    assert hold_take((block,)).samples[0] == pytest.approx(
        0.001 * level.most_gain_share
    )


def test_however_much_sounds_nothing_passes_the_ceiling() -> None:
    sounding = Sounding()
    many = [held(SoundKind.GUIDE, 0.0, 1.0, key) for key in range(40, 80)]
    sounding.play(track(*many, *(beat(0.0) for _ in range(20))))
    sound = sounding.run(48_000)
    assert SETTINGS.knee_share < np.abs(sound).max() <= SETTINGS.ceiling_share


@pytest.mark.parametrize("level", [0.0, 0.1, 0.5])
def test_what_is_below_the_knee_is_left_as_it_is(level: float) -> None:
    block = np.array([level, -level], dtype=np.float32)
    assert np.array_equal(hold_down(block, 0.5, 0.7), block)


def test_one_full_stroke_has_the_set_volume() -> None:
    sounding = Sounding()
    sounding.play(track(beat(0.0)))
    loudest = np.abs(sounding.run(4800)).max()
    assert loudest == pytest.approx(SETTINGS.volume_share, rel=1e-5)
