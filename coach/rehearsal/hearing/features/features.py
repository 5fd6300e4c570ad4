"""Looks at a sound, taken block by block while it is recorded, or all at once.

Conventions
-----------
Look t is centred on sample t * hop of the low-rate sound, so that its place in seconds
from the first sample is t * `hop_s`.  Levels are decibels of full scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.features.decimation import Decimator
from coach.rehearsal.hearing.features.feature_settings import FeatureSettings
from coach.rehearsal.hearing.features.kernels import (
    lay_kernels,
    long_shares,
    pitch_grid,
)
from coach.rehearsal.hearing.features.look_store import LookStore
from coach.rehearsal.hearing.features.ring import Ring

Floats = NDArray[np.float32]
Row = tuple[NDArray[np.float16], Floats, Floats, Floats, Floats, NDArray[np.float16]]
"""Some looks: salience, level, flux, freshness, brightness, magnitudes."""

TINY = 1e-12
POWER_DB = 10.0
FULL = 0.999
"""A sample from here on stands at full scale."""

THOUSAND = 1000.0
EVERY = 2
"""A window is filled up to twice its length or so: every second magnitude tells all."""


@dataclass(frozen=True, slots=True)
class Features:
    """All looks at one take."""

    hop_s: float
    """From one look to the next."""

    pitches: Floats
    """Pitches that were looked for, in MIDI keys with fractions, shape (pitches,)."""

    salience: NDArray[np.float16]
    """How well each look fits each pitch, up to 1, shape (looks, pitches)."""

    level_db: Floats
    """Level of each look, shape (looks,)."""

    flux: Floats
    """How much of each look is new, shape (looks,)."""

    fresh_db: Floats
    """What is not the ring of what sounded before, against all, in decibels."""

    bright_db: Floats
    """Upper sound against all of it, in decibels, shape (looks,)."""

    magnitudes: NDArray[np.float16]
    """Spectrum of each look as far as partials count, in thousandths of full scale,
    shape (looks, bins)."""

    sound: Floats
    """The take at its low rate."""

    rate_hz: float
    """That rate."""

    full_share: float
    """Share of the take's samples that stand at full scale."""


@dataclass(frozen=True, slots=True)
class LookGrid:
    """At which moments and for which pitches looks are taken."""

    hop_s: float
    """From one look to the next; the first is at the first sample."""

    pitches: Floats
    """Pitches that are looked for, in MIDI keys with fractions."""


class FeatureTaker:
    """Takes looks at a sound as it comes in."""

    def __init__(
        self, rate_hz: float, lowest: int, highest: int, settings: FeatureSettings
    ) -> None:
        self._settings = settings
        self._decimator = Decimator(rate_hz, settings)
        rate = self._decimator.rate_hz
        self._rate_hz = rate
        self._hop = max(1, round(settings.hop_s * rate))
        self.hop_s = self._hop / rate
        long = 2 * (round(settings.long_window_s * rate) // 2)
        size = 1 << (long - 1).bit_length()
        self._long = np.hanning(long + 1)[:-1].astype(np.float32)
        short = 2 * (round(settings.short_window_s * rate) // 2)
        self._short = np.hanning(short + 1)[:-1].astype(np.float32)
        flux = 2 * (round(settings.flux_window_s * rate) // 2)
        self._flux = np.hanning(flux + 1)[:-1].astype(np.float32)
        self._flux_size = 1 << (flux - 1).bit_length()
        level = 2 * (round(settings.level_window_s * rate) // 2)
        weights = np.hanning(level + 1)[:-1]
        self._level = (weights / weights.sum()).astype(np.float32)
        self._size = size
        self.pitches = pitch_grid(lowest, highest, settings)
        hertz = np.fft.rfftfreq(size, 1 / rate).astype(np.float32)
        self._kernels = lay_kernels(self.pitches, hertz, settings)
        self._long_share = long_shares(self.pitches, settings)
        self._rings = Ring(self.hop_s, settings), Ring(self.hop_s, settings)
        self._lag = max(1, round(settings.flux_lag_s / self.hop_s))
        self._half = size // 2
        self._sound = LookStore()
        self._pending = np.zeros(self._half, dtype=np.float32)
        self._is_upper = (hertz >= settings.bright_from_hz).astype(np.float32)
        self._kept = slice(0, int(np.searchsorted(hertz, settings.highest_hz)), EVERY)
        self._looks = LookStore()
        self._before_flux = np.zeros(
            (self._lag, self._flux_size // 2 + 1), dtype=np.float32
        )
        self._full = 0
        self._count = 0

    @property
    def grid(self) -> LookGrid:
        """At which moments and for which pitches it looks."""
        return LookGrid(self.hop_s, self.pitches)

    def push(self, samples: Floats) -> list[Row]:
        """Take a block of the take, at the take's own rate; give what is seen anew."""
        self._full += int(np.count_nonzero(np.abs(samples) >= FULL))
        self._count += len(samples)
        return self._add(self._decimator.push(samples))

    def finish(self) -> Features:
        """Give all looks, as if silence followed."""
        self._add(self._decimator.finish())
        count = len(self._sound)
        self._look_on(np.zeros(self._half + self._hop, dtype=np.float32))
        columns = self._looks.take(1 + (count - 1) // self._hop)
        salience, level_db, flux, fresh_db, bright_db, magnitudes = columns
        (sound,) = self._sound.take(count)
        return Features(
            hop_s=self.hop_s,
            pitches=self.pitches,
            salience=salience,
            level_db=level_db,
            flux=flux,
            fresh_db=fresh_db,
            bright_db=bright_db,
            magnitudes=magnitudes,
            sound=sound,
            rate_hz=self._rate_hz,
            full_share=self._full / max(1, self._count),
        )

    def look_again(
        self, features: Features, sound: Floats, spans: Sequence[tuple[int, int]]
    ) -> Features:
        """Take some spans anew, from another sound, in the place of what was seen."""
        names = ("salience", "level_db", "flux", "fresh_db", "bright_db", "magnitudes")
        warm = round(self._settings.ring_warm_s / self.hop_s)
        for begin, end in spans:
            first = max(0, begin - warm)
            self._before_flux[:] = 0.0
            for ring in self._rings:
                ring.forget()
            piece = self._piece(sound, first, end)
            rows: tuple[NDArray[Any], ...] = self._look(piece, end - first)
            for name, row in zip(names, rows, strict=True):
                getattr(features, name)[begin:end] = row[begin - first :]
        return replace(features, sound=sound)

    def _piece(self, sound: Floats, first: int, end: int) -> Floats:
        """Cut out what some looks see, silence beyond either end of the sound."""
        a = first * self._hop - self._half
        b = end * self._hop + self._half + self._hop
        inside = sound[max(0, a) : max(0, min(b, len(sound)))]
        return np.pad(inside, (max(0, -a), max(0, b - a - max(0, -a) - len(inside))))

    def _add(self, low: Floats) -> list[Row]:
        """Add low-rate samples; take and give the looks that are complete with them."""
        self._sound.add([low])
        return self._look_on(low)

    def _look_on(self, low: Floats) -> list[Row]:
        """Take and give the looks that are complete with some more samples."""
        self._pending = np.concatenate([self._pending, low])
        batch = self._settings.batch_frames
        rows: list[Row] = []
        while True:
            count = min(batch, (len(self._pending) - 2 * self._half) // self._hop)
            if count <= 0:
                return rows
            row = self._look(self._pending, count)
            self._looks.add(row)
            rows.append(row)
            self._pending = self._pending[count * self._hop :]

    def _look(self, sound: Floats, count: int) -> Row:
        """Take some looks, the first centred `_half` samples in."""
        windows = np.lib.stride_tricks.sliding_window_view(sound, 2 * self._half)
        frames = windows[:: self._hop][:count]
        power_long = self._power(frames, self._long, self._size)
        power_short = self._power(frames, self._short, self._size)
        dry_long = self._rings[0].dried(power_long)
        dry_short = self._rings[1].dried(power_short)
        share = self._long_share
        salience = share * self._fits(dry_long) + (1 - share) * self._fits(dry_short)
        inner = self._middle(frames, len(self._level))
        level = POWER_DB * np.log10(inner**2 @ self._level + TINY)
        return (
            salience.astype(np.float16),
            level.astype(np.float32),
            self._new(self._power(frames, self._flux, self._flux_size)),
            _part_db(dry_short.sum(axis=1), power_short.sum(axis=1)),
            _part_db(power_long @ self._is_upper, power_long.sum(axis=1)),
            (THOUSAND * np.sqrt(power_short[:, self._kept])).astype(np.float16),
        )

    def _middle(self, frames: Floats, width: int) -> Floats:
        """Cut the middle out of each frame."""
        return frames[:, self._half - width // 2 : self._half + width // 2]

    def _power(self, frames: Floats, window: Floats, size: int) -> Floats:
        """Give the power spectrum of the middle of each frame."""
        cut = self._middle(frames, len(window)) * window
        spectrum = np.fft.rfft(cut, size, axis=1)
        power = spectrum.real**2 + spectrum.imag**2
        return np.asarray(power / np.sum(window) ** 2, dtype=np.float32)

    def _fits(self, power: Floats) -> Floats:
        """Tell how well spectra fit the combs."""
        root = np.sqrt(np.sqrt(power))
        root /= np.linalg.norm(root, axis=1, keepdims=True) + TINY
        return np.asarray(root @ self._kernels)

    def _new(self, power: Floats) -> Floats:
        """Tell how much of each look was not there just before, in log magnitude."""
        logs = np.log10(power + 1e-9)
        past = np.concatenate([self._before_flux, logs])
        self._before_flux = past[len(logs) :]
        old = past[: len(logs)]
        widened = np.maximum(old, np.maximum(np.roll(old, 1, 1), np.roll(old, -1, 1)))
        return np.asarray(np.maximum(logs - widened, 0.0).mean(axis=1))


def _part_db(part: Floats, whole: Floats) -> Floats:
    """Give a part of a power against the whole, in decibels."""
    return np.asarray(POWER_DB * np.log10((part + TINY) / (whole + TINY)))
