"""Rooms and microphones by seed: what a performance sounds like on a laptop.

Reverberation, pink noise, inhaling, and the click from the loudspeaker, every stroke a
little different.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coach.rehearsal.hearing.take import Sounding, Take, TakenClick
from coach.score.tempo import Seconds
from tests.hearing_room.players import Played
from tests.hearing_room.studies import Study
from tests.hearing_room.voices import LEAD_S, RATE_HZ, Sound

COUNT_IN_BEATS = 4


@dataclass(frozen=True, slots=True)
class World:
    """Where a take is made."""

    snr_db: float | None = 20.0
    """Horn against pink noise; None for none."""

    rt60_s: float = 0.3
    """How long the room rings; 0 for none."""

    direct_db: float = 6.0
    """Direct sound against the ring."""

    click_db: float | None = -12.0
    """Peak of the click against the horn's; None where it is in headphones."""

    click_voice: str = "wood"
    """``wood`` or ``beep``."""

    inhales: bool = True
    """Breaths can be heard."""


CLEAN = World(snr_db=None, rt60_s=0.0, click_db=None, inhales=False)
USUAL = World()


def record(dry: Sound, study: Study, played: Played, world: World, seed: int) -> Take:
    """Make a take of our own: its first sample's run time is known."""
    sounding = Sounding(
        Seconds(-LEAD_S),
        tuple(
            TakenClick(Seconds(at), kind)
            for at, kind in click_times(study, len(dry) / RATE_HZ - LEAD_S)
        ),
    )
    sound = degrade(dry, played, sounding, world, seed)
    return Take(sound.astype(np.float32), float(RATE_HZ), sounding)


def click_times(study: Study, until: float) -> list[tuple[float, int]]:
    """Lay a count-in and a click on every beat: (run time, 1 for an accent)."""
    beat = float(study.due.beat)
    first = -min(COUNT_IN_BEATS, int((LEAD_S - 0.5) / beat))
    last = int(study.due.notes[-1].written_end / beat)
    return [
        (k * beat, int(k % 4 == 0))
        for k in range(first, last)
        if k * beat < until - 0.1
    ]


def degrade(
    dry: Sound, played: Played, sounding: Sounding, world: World, seed: int
) -> Sound:
    """Put a dry performance into a room."""
    draw = np.random.default_rng([seed, 5])
    loud = dry[np.abs(dry) > 0]
    horn_power = float(np.mean(loud**2)) if len(loud) else 1e-4
    peak = float(np.abs(dry).max()) or 0.1
    sound = dry.copy()
    if world.inhales:
        for _, start, end in played.breaths:
            _add_inhale(sound, start, end, 10 ** (-34 / 20) * peak, draw)
    if world.click_db is not None:
        level = peak * 10 ** (world.click_db / 20)
        for click in sounding.clicks:
            _add_click(sound, click, level, world.click_voice, draw)
    if world.rt60_s > 0:
        sound = reverberate(sound, world, draw)
    if world.snr_db is not None:
        noise = pink(len(sound), draw)
        sound += noise * np.sqrt(horn_power / 10 ** (world.snr_db / 10))
    return np.asarray(sound * (0.5 / max(0.5, float(np.abs(sound).max()))))


def pink(count: int, draw: np.random.Generator) -> Sound:
    """Give noise that falls 3 dB an octave, of power 1."""
    size = 1 << (count - 1).bit_length()
    spectrum = np.fft.rfft(draw.normal(0.0, 1.0, size))
    hertz = np.fft.rfftfreq(size, 1 / RATE_HZ)
    spectrum /= np.sqrt(np.maximum(hertz, 20.0))
    noise = np.fft.irfft(spectrum, size)[:count]
    return np.asarray(noise / np.sqrt(np.mean(noise**2)))


def reverberate(sound: Sound, world: World, draw: np.random.Generator) -> Sound:
    """Let a room ring: noise that decays, a little delayed, duller as it goes."""
    count = round(world.rt60_s * 1.2 * RATE_HZ)
    age = np.arange(count) / RATE_HZ
    ring = draw.normal(0.0, 1.0, count) * 10 ** (-3.0 * age / world.rt60_s)
    ring = np.convolve(ring, np.hanning(9) / np.hanning(9).sum(), "same")
    ring[: round(0.004 * RATE_HZ)] = 0.0
    ring *= np.sqrt(10 ** (-world.direct_db / 10) / np.sum(ring**2))
    ring[0] = 1.0
    size = 1 << (len(sound) + count - 1).bit_length()
    wet = np.fft.irfft(np.fft.rfft(sound, size) * np.fft.rfft(ring, size), size)
    return np.asarray(wet[: len(sound)])


def click_sound(kind: int, voice: str) -> Sound:
    """Give one stroke, its peak at 1."""
    age = np.arange(round(0.06 * RATE_HZ)) / RATE_HZ
    if voice == "beep":
        hertz = 1760.0 if kind else 1175.0
        wave = np.sin(2 * np.pi * hertz * age) * np.clip((0.04 - age) / 0.02, 0.0, 1.0)
    else:
        hertz = 1500.0 if kind else 1100.0
        wave = np.exp(-age / 0.006) * np.sin(2 * np.pi * hertz * age)
        wave += 0.4 * np.exp(-age / 0.003) * np.sin(2 * np.pi * 2.7 * hertz * age)
    return np.asarray(wave / np.abs(wave).max())


def _add_click(
    sound: Sound,
    click: TakenClick,
    level: float,
    voice: str,
    draw: np.random.Generator,
) -> None:
    """Add one stroke, half a decibel and a third of a sample off."""
    wave = click_sound(click.kind, voice)
    level *= 10 ** (draw.uniform(-0.5, 0.5) / 20)
    place = (click.at + LEAD_S) * RATE_HZ + draw.uniform(-0.3, 0.3)
    begin = int(np.floor(place))
    shifted = np.interp(
        np.arange(len(wave) + 1) - (place - begin), np.arange(len(wave)), wave, 0.0, 0.0
    )
    end = min(len(sound), begin + len(shifted))
    sound[begin:end] += level * shifted[: end - begin]


def _add_inhale(
    sound: Sound, start: float, end: float, level: float, draw: np.random.Generator
) -> None:
    """Add the rush of a breath between two notes."""
    a, b = (round((t + LEAD_S) * RATE_HZ) for t in (start + 0.03, end - 0.05))
    if b - a > 400:
        rush = np.convolve(draw.normal(0.0, 1.0, b - a), [0.5, 0.5], "same")
        sound[a:b] += level * rush * np.hanning(b - a)
