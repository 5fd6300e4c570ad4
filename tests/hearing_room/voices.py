"""A brass voice made of partials, and how a performance is laid out for any voice.

Brightness follows level, long notes have vibrato, there is a little air noise.  Slurs
are one voice that glides to its next pitch in 12 to 34 ms, with a dip of 2.5 dB: onsets
that are a change of pitch and nothing else.  The moment of a slur is the middle of its
glide; the moment of a tongued note is where it comes within 10 dB of its height.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.hearing_room.players import Played, PlayedNote

Sound = NDArray[np.float64]

RATE_HZ = 44_100
LEAD_S = 4.5
"""Silence and count-in before the first beat."""

TAIL_S = 1.0
RELEASE_S = 0.02
DIP_DB = 2.5
SPOKEN_SHARE = 10.0 ** (-10.0 / 20.0)


@dataclass(frozen=True, slots=True)
class Breathful:
    """Notes played without a tongue between them: one voice."""

    notes: tuple[PlayedNote, ...]
    """In order; all but the first slurred."""

    glides: tuple[float, ...]
    """How long it takes to reach each, in seconds; 0 for the first."""


def cut_slurs(played: Played, seed: int) -> list[Breathful]:
    """Cut a performance where the tongue or a breath divides it."""
    draw = np.random.default_rng([seed, 3])
    groups: list[list[PlayedNote]] = []
    for note in played.notes:
        if note.is_slurred and groups and note.on <= groups[-1][-1].off + 1e-6:
            groups[-1].append(note)
        else:
            groups.append([note])
    return [
        Breathful(
            tuple(group),
            (0.0, *(float(draw.uniform(0.012, 0.034)) for _ in group[1:])),
        )
        for group in groups
    ]


def begins_s(midi: int) -> float:
    """How long the voice of partials takes from its start to its full height."""
    return float(
        np.interp(midi, [34, 46, 58, 70, 90], [0.070, 0.055, 0.040, 0.030, 0.022])
    )


def spoken_s(midi: int) -> float:
    """How long it takes to come within 10 dB of it: its rise is a raised cosine."""
    return begins_s(midi) * float(np.arccos(1.0 - 2.0 * SPOKEN_SHARE) / np.pi)


def pitch_curve(group: Breathful, times: Sound) -> Sound:
    """Give the pitch of one voice at each time, in keys."""
    pitch = np.full(len(times), group.notes[0].midi + group.notes[0].cents / 100.0)
    before = pitch[0] if len(pitch) else 0.0
    for note, glide in zip(group.notes[1:], group.glides[1:], strict=True):
        goal = note.midi + note.cents / 100.0
        share = np.clip((times - note.on) / glide + 0.5, 0.0, 1.0)
        pitch += (goal - before) * (3 * share**2 - 2 * share**3)
        before = goal
    return np.asarray(pitch)


def level_curve(group: Breathful, times: Sound) -> Sound:
    """Give the level of one voice at each time in decibels, slurs dipping."""
    places = [note.on for note in group.notes] + [group.notes[-1].off]
    levels = [note.level_db for note in group.notes]
    levels.append(levels[-1])
    level = np.interp(times, places, levels)
    for note, glide in zip(group.notes[1:], group.glides[1:], strict=True):
        level -= DIP_DB * np.exp(-(((times - note.on) / max(glide, 0.012)) ** 2))
    return np.asarray(level)


def gate_curve(group: Breathful, times: Sound, starts: float) -> Sound:
    """Open when a voice starts; close within 20 ms where its last note stops."""
    off = group.notes[-1].off
    closing = np.clip((times - off) / RELEASE_S + 0.5, 0.0, 1.0)
    return np.where(times < starts, 0.0, 0.5 * (1.0 + np.cos(np.pi * closing)))


def length_s(played: Played) -> float:
    """How long a take of a performance is."""
    return LEAD_S + played.notes[-1].off + TAIL_S


def sing(played: Played, seed: int) -> Sound:
    """Sound a performance in the voice of partials, from run time -LEAD_S on."""
    draw = np.random.default_rng([seed, 4])
    sound = np.zeros(round(length_s(played) * RATE_HZ))
    for group in cut_slurs(played, seed):
        first = group.notes[0]
        starts = first.on - spoken_s(first.midi)
        begin = round((starts + LEAD_S) * RATE_HZ)
        end = min(len(sound), round((group.notes[-1].off + 0.03 + LEAD_S) * RATE_HZ))
        times = np.arange(begin, end) / RATE_HZ - LEAD_S
        sound[begin:end] += _voice(group, times, starts, draw)
    return sound


def _voice(
    group: Breathful, times: Sound, starts: float, draw: np.random.Generator
) -> Sound:
    """Sound what is played without a tongue between."""
    first = group.notes[0]
    pitch = pitch_curve(group, times)
    for note in group.notes:
        if note.off - note.on > 0.4:
            age = np.clip((times - note.on - 0.2) / 0.2, 0.0, 1.0)
            age = np.where(times < note.off, age, 0.0)
            pitch += 0.06 * age * np.sin(2 * np.pi * 5.2 * (times - note.on))
    hertz = 440.0 * 2.0 ** ((pitch - 69.0) / 12.0)
    turn = np.exp(2j * np.pi * np.cumsum(hertz) / RATE_HZ)
    level = level_curve(group, times)
    rise = np.clip((times - starts) / begins_s(first.midi), 0.0, 1.0)
    rise = 0.5 * (1.0 - np.cos(np.pi * rise))
    slope_db = 14.0 - 0.35 * np.clip(level, -18.0, 6.0) - 4.0 * rise
    power, tone = np.ones_like(turn), np.zeros(len(times))
    count = int(min(24, 0.45 * RATE_HZ / hertz.max()))
    formant = 500.0
    for n in range(1, count + 1):
        power = power * turn
        body = 1.0 / (1.0 + (n * hertz / (4 * formant)) ** 2)
        tone += n ** (-slope_db / 20.0) * body * power.imag
    air = draw.normal(0.0, 1.0, len(times)) * 10 ** (-38 / 20)
    gate = gate_curve(group, times, starts)
    return np.asarray(0.1 * 10.0 ** (level / 20.0) * rise * gate * (tone + air))


def note_levels_db(sound: Sound, played: Played) -> dict[int, float]:
    """Measure how loud the middle of each note is in a dry take."""
    levels = {}
    for note in played.notes:
        length = note.off - note.on
        a = round((note.on + 0.175 * length + LEAD_S) * RATE_HZ)
        b = round((note.off - 0.175 * length + LEAD_S) * RATE_HZ)
        levels[note.note] = 10.0 * float(np.log10(np.mean(sound[a:b] ** 2) + 1e-12))
    return levels


def stems(groups: list[Breathful]) -> Iterator[list[Breathful]]:
    """Deal groups out to two players, so that none rings into the next."""
    yield groups[0::2]
    yield groups[1::2]
