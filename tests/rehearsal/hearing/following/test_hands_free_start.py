"""What begins a run: a held note or two knocks, out of quiet; and what does not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from coach.edges.hearing.hearing_numbers import (
    read_following_settings,
    read_hearing_settings,
)
from coach.rehearsal.hearing.following.hands_free_start import StartEar
from coach.rehearsal.hearing.following.told import StartBy, StartWish
from coach.score.note import hertz_of

FEATURES, SETTINGS = read_hearing_settings().features, read_following_settings()
RATE_HZ = 16_000
Sound = NDArray[np.float32]


def room(seconds: float = 4.0) -> Sound:
    """Give a quiet room."""
    draw = np.random.default_rng(1)
    return draw.normal(0.0, 3e-4, round(seconds * RATE_HZ)).astype(np.float32)


def note(midi: float, seconds: float) -> Sound:
    age = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    base = hertz_of(69) * 2 ** ((midi - 69) / 12)
    partials = [np.sin(2 * np.pi * n * base * age) / n for n in range(1, 13)]
    edges = np.clip(np.minimum(age, age[::-1]) / 0.03, 0.0, 1.0)
    return np.asarray(0.1 * np.sum(partials, axis=0) * edges, dtype=np.float32)


def stroke(loud: float = 0.3, decay_s: float = 0.008, rise_s: float = 0.0) -> Sound:
    age = np.arange(round(0.4 * RATE_HZ)) / RATE_HZ
    draw = np.random.default_rng(2)
    sound = draw.normal(0.0, 1.0, len(age)) * np.exp(-age / decay_s)
    sound *= np.clip(age / rise_s, 0.0, 1.0) if rise_s else 1.0
    return np.asarray(loud * sound / np.abs(sound).max(), dtype=np.float32)


def put(sound: Sound, what: Sound, at: float) -> Sound:
    begin = round(at * RATE_HZ)
    sound[begin : begin + len(what)] += what
    return sound


def ear(by: StartBy, **changes: float) -> StartEar:
    starts = replace(SETTINGS.starts, **changes)
    wish = StartWish(by, 45, 62)
    return StartEar(wish, RATE_HZ, FEATURES, SETTINGS.sounding, starts)


def starts(sound: Sound, by: StartBy, listening: StartEar | None = None) -> list[float]:
    """Give when a start was heard."""
    listening = listening or ear(by)
    block = RATE_HZ // 20
    return [
        (first + block) / RATE_HZ
        for first in range(0, len(sound), block)
        if listening.push(sound[first : first + block])
    ][:1]


@pytest.mark.parametrize("noise", [1.0, 0.0])
def test_a_held_note_begins_a_run_before_it_is_over(noise: float) -> None:
    """Also where the microphone gives nothing at all between notes."""
    (at,) = starts(put(noise * room(), note(53, 1.0), 2.0), "note")
    assert at == pytest.approx(2.0 + SETTINGS.starts.held_s, abs=0.15)


@pytest.mark.parametrize(
    ("name", "sounds"),
    [
        ("a short note", [(2.0, note(53, 0.4))]),
        ("notes that follow each other", [(2.0, note(53, 0.5)), (2.5, note(55, 1.2))]),
        ("a far horn", [(2.0, 0.008 * note(53, 1.0))]),
        ("noise", [(2.0, stroke(0.3, decay_s=2.0))]),
        ("at once", [(0.5, note(53, 1.0))]),
        ("two knocks", [(2.0, stroke()), (2.3, stroke())]),
    ],
)
def test_nothing_else_is_a_held_note(
    name: str, sounds: list[tuple[float, Sound]]
) -> None:
    sound = room()
    for at, what in sounds:
        put(sound, what, at)
    assert starts(sound, "note") == [], name


@pytest.mark.parametrize("apart", [0.2, 0.5])
def test_two_knocks_begin_a_run_once_it_is_quiet_again(apart: float) -> None:
    sound = put(put(room(), stroke(), 2.0), stroke(0.2), 2.0 + apart)
    (at,) = starts(sound, "knock")
    assert at == pytest.approx(2.0 + apart + SETTINGS.starts.quiet_s, abs=0.25)


@pytest.mark.parametrize(
    ("name", "sounds"),
    [
        ("one knock", [(2.0, stroke())]),
        ("three", [(1.6, stroke()), (2.0, stroke()), (2.4, stroke())]),
        ("two far apart", [(1.6, stroke()), (2.5, stroke())]),
        ("two at once", [(2.0, stroke()), (2.1, stroke())]),
        ("a loud and a soft one", [(2.0, stroke()), (2.3, stroke(0.09))]),
        ("two words", [(2.0, stroke(0.3, 0.15, 0.08)), (2.5, stroke(0.3, 0.15, 0.08))]),
        ("two notes", [(2.0, note(53, 0.12)), (2.3, note(53, 0.12))]),
        ("a held note", [(2.0, note(53, 1.0))]),
    ],
)
def test_nothing_else_is_two_knocks(
    name: str, sounds: list[tuple[float, Sound]]
) -> None:
    sound = room()
    for at, what in sounds:
        put(sound, what, at)
    assert starts(sound, "knock") == [], name


def test_a_key_of_the_laptop_is_no_knock() -> None:
    sound = put(put(room(), stroke(), 2.0), stroke(), 2.3)
    listening = ear("knock")
    for first in range(0, len(sound), 800):
        if first == 2.05 * RATE_HZ:
            listening.pass_over()
        assert not listening.push(sound[first : first + 800])


def test_who_waits_for_long_is_heard_all_the_same() -> None:
    sound = put(room(5.0), note(53, 1.0), 3.5)
    assert starts(sound, "note", ear("note", renewed_s=0.5))
