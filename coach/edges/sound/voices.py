"""The built-in voices: strokes for clicks and cues, a brass-like tone, a drone.

Every sample depends on nothing but its own number, so that it does not matter into
which blocks a device cuts the sound.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

from coach.config import read_player_file, read_settings, read_shipped, settings_from
from coach.edges.sound.taken_sound import NOTHING, TakenSound
from coach.rehearsal.click.clicks import Click, SoundKind

Samples = NDArray[np.float32]

TABLE_SIZE = 2048
"""Samples of one period of a tone; the error of straight lines between is inaudible."""

LOUDEST = 127
TUNING_KEY = 69
KEYS_IN_OCTAVE = 12
"""MIDI 1.0: loudest velocity, A4, equal temperament."""

RING_DECAYS = 7.0
"""A stroke ends 60 dB below its start: e**-7."""

BELOW_FOLDING = 0.45
"""Share of the rate up to which partials are made."""

ATTACK_S = 0.0005
"""A stroke reaches its peak this soon: no rustle, and no onset to argue about."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """One percussion sound, as ``[strokes]`` in ``config/sound.toml`` has it."""

    pitch_hz: float
    """Its tone."""

    ring_s: float
    """Until it has died away."""

    noise_share: float
    """How much of it is noise."""

    level_share: float
    """How loud it is."""


@dataclass(frozen=True, slots=True)
class Tone:
    """A held sound, as ``[brass]`` and ``[drone]`` have it."""

    tuning_hz: float
    """A4."""

    attack_s: float
    """Until it is at its height."""

    release_s: float
    """Until it has died away after its end."""

    soft_slope_power: float
    """How fast partials grow weaker when soft."""

    bright_slope_power: float
    """How fast they do when loud."""

    bright_share: float
    """How much of the loud colour the loudest note has."""

    level_share: float
    """How loud it is."""

    partials_count: int
    """How many partials it has."""


class Sound(Protocol):
    """Something that sounds from one sample on."""

    def add_to(self, block: Samples, first: int) -> bool:
        """Add to a block that begins with sample `first`; False when it is over."""
        ...


class StruckSound:
    """A stroke that has begun, or will."""

    def __init__(self, samples: Samples, gain: float, starts: int) -> None:
        self._samples = samples
        self._gain = np.float32(gain)
        self._starts = starts

    def add_to(self, block: Samples, first: int) -> bool:
        """Add what falls into this block."""
        place = self._starts - first
        begin, end = max(place, 0), min(place + len(self._samples), len(block))
        if begin < end:
            block[begin:end] += self._samples[begin - place : end - place] * self._gain
        return place + len(self._samples) > len(block)


class HeldSound:
    """A note that sounds until it is ended."""

    def __init__(
        self, tone: ReadyTone, key: int, gain: float, starts: int, ends: int
    ) -> None:
        self._tone = tone
        self._step = tone.hz(key) / tone.rate_hz * TABLE_SIZE
        self._table = tone.table(key, gain)
        self._gain = gain * tone.settings.level_share
        self._starts = starts
        self.ends = ends
        """The sample with which it begins to die away."""

    def end_at(self, sample: int) -> None:
        """End it earlier or later than was planned."""
        self.ends = max(sample, self._starts)

    def add_to(self, block: Samples, first: int) -> bool:
        """Add what falls into this block."""
        release = self._tone.release
        begin = max(self._starts - first, 0)
        end = min(self.ends + release - first, len(block))
        if begin < end:
            age = np.arange(begin, end, dtype=np.float64) + (first - self._starts)
            rise = np.clip((age + 1.0) / self._tone.attack, 0.0, 1.0)
            left = (self.ends - self._starts + release - age) / release
            height = rise * rise * (3.0 - 2.0 * rise) * np.clip(left, 0.0, 1.0)
            place = (age * self._step) % TABLE_SIZE
            whole = place.astype(np.intp)
            between = place - whole
            wave = self._table[whole] * (1.0 - between)
            wave += self._table[whole + 1] * between
            block[begin:end] += (wave * height * self._gain).astype(np.float32)
        return self.ends + release > first + len(block)


class ReadyTone:
    """A tone with its periods worked out."""

    def __init__(self, settings: Tone, rate_hz: float) -> None:
        self.settings = settings
        self.rate_hz = rate_hz
        self.attack = max(1, round(settings.attack_s * rate_hz))
        self.release = max(1, round(settings.release_s * rate_hz))
        counts = {self._partials(key) for key in range(LOUDEST + 1)}
        self._soft = {n: period(n, settings.soft_slope_power) for n in counts}
        self._bright = {n: period(n, settings.bright_slope_power) for n in counts}

    def hz(self, key: int) -> float:
        """Tell how fast a key swings, in equal temperament."""
        steps = (key - TUNING_KEY) / KEYS_IN_OCTAVE
        return float(self.settings.tuning_hz * 2.0**steps)

    def table(self, key: int, gain: float) -> NDArray[np.float64]:
        """Give one period of a key, brighter when louder."""
        count = self._partials(key)
        bright = self.settings.bright_share * gain
        return self._soft[count] * (1.0 - bright) + self._bright[count] * bright

    def _partials(self, key: int) -> int:
        """Count the partials that do not fold back."""
        most = int(BELOW_FOLDING * self.rate_hz / self.hz(key))
        return max(1, min(self.settings.partials_count, most))


def period(partials: int, slope: float) -> NDArray[np.float64]:
    """Make one period with peak 1, its first sample repeated at the end."""
    angle = np.arange(TABLE_SIZE + 1) * (2.0 * np.pi / TABLE_SIZE)
    numbers = np.arange(1, partials + 1)
    wave = (np.sin(np.outer(numbers, angle)) / (numbers**slope)[:, None]).sum(axis=0)
    return np.asarray(wave / np.abs(wave).max(), dtype=np.float64)


def strike(stroke: Stroke, rate_hz: float) -> Samples:
    """Make the samples of a stroke, with peak `level_share`."""
    age_s = np.arange(max(2, round(stroke.ring_s * rate_hz))) / rate_hz
    # The same noise each time: a click is always the same click.
    noise = np.random.default_rng(0).uniform(-1.0, 1.0, len(age_s))
    tone = np.cos(2.0 * np.pi * stroke.pitch_hz * age_s)
    wave = tone * (1.0 - stroke.noise_share) + noise * stroke.noise_share
    wave *= np.exp(-RING_DECAYS * age_s / stroke.ring_s)
    wave *= np.clip((age_s + 1.0 / rate_hz) / ATTACK_S, 0.0, 1.0)
    wave *= stroke.level_share / np.abs(wave).max()
    return np.asarray(wave, dtype=np.float32)


class Voices:
    """All voices, ready to sound."""

    def __init__(
        self, strokes: Mapping[str, Stroke], brass: Tone, drone: Tone, rate_hz: float
    ) -> None:
        self._other = strike(strokes["other"], rate_hz)
        self._strokes = {
            int(key): strike(stroke, rate_hz)
            for key, stroke in strokes.items()
            if key != "other"
        }
        self._tones = {
            SoundKind.GUIDE: ReadyTone(brass, rate_hz),
            SoundKind.DRONE: ReadyTone(drone, rate_hz),
        }
        self._rate_hz = rate_hz
        self.take = NOTHING
        """What a track plays that plays a take."""

    def sound(self, click: Click, starts: int) -> StruckSound | HeldSound | TakenSound:
        """Make the sound of a click that starts with a sample."""
        if click.kind is SoundKind.TAKE:
            return TakenSound(self.take, self._rate_hz, starts)
        gain = loudness(click.velocity)
        tone = self._tones.get(click.kind)
        if tone is None:
            return StruckSound(self._strokes.get(click.key, self._other), gain, starts)
        length = max(1, round(click.length * self._rate_hz))
        return HeldSound(tone, click.key, gain, starts, starts + length)


def loudness(velocity: int) -> float:
    """Give the amplitude of a velocity, from 0 to 1.

    The square law is that of MIDI's Downloadable Sounds Level 1 (MIDI Manufacturers
    Association, 1997), as remembered.
    """
    return (velocity / LOUDEST) ** 2


def read_voices(rate_hz: float) -> Voices:
    """Make the voices from the shipped settings and the player's own."""
    own: Mapping[str, Any] = read_player_file().get("sound", {}).get("strokes", {})
    shipped: Mapping[str, Any] = read_shipped("sound")["strokes"]
    strokes = {
        key: settings_from(
            Stroke,
            {**shipped.get(key, shipped["other"]), **own.get(key, {})},
            where="sound.toml",
            table=f"strokes.{key}",
        )
        for key in {*shipped, *own} - {"source"}
    }
    brass = read_settings(Tone, "sound", "brass")
    drone = read_settings(Tone, "sound", "drone")
    return Voices(strokes, brass, drone, rate_hz)
