"""Bring a sound down to a low rate, block by block, without aliasing."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.features.feature_settings import FeatureSettings

Floats = NDArray[np.float32]

CUTOFF = 0.45
"""Where the filter closes, as a share of the low rate: Nyquist is 0.5."""


class Decimator:
    """Keeps every n-th sample of a low-passed sound.

    Sample k of the low rate stands at sample k * `factor` of the take: the filter's
    own delay is taken off.
    """

    def __init__(self, rate_hz: float, settings: FeatureSettings) -> None:
        self.factor = max(1, round(rate_hz / settings.rate_hz))
        self.rate_hz = rate_hz / self.factor
        half = settings.filter_taps_factor * self.factor if self.factor > 1 else 0
        place = np.arange(-half, half + 1) * CUTOFF * 2.0 / self.factor
        taps = np.sinc(place) * np.hanning(2 * half + 3)[1:-1]
        self._taps = (taps / taps.sum()).astype(np.float32)
        self._half = half
        self._held = np.zeros(half, dtype=np.float32)

    def push(self, samples: Floats) -> Floats:
        """Take a block; give the low-rate samples that are complete with it."""
        sound = np.concatenate([self._held, samples]) if len(self._held) else samples
        length = len(self._taps)
        count = max(0, (len(sound) - length) // self.factor + 1)
        if self.factor == 1:
            return sound
        self._held = sound[count * self.factor :].copy()
        if not count:
            return np.zeros(0, dtype=np.float32)
        windows = np.lib.stride_tricks.sliding_window_view(sound, length)
        return np.asarray(windows[:: self.factor][:count] @ self._taps)

    def finish(self) -> Floats:
        """Give the last low-rate samples, as if silence followed."""
        return self.push(np.zeros(self._half, dtype=np.float32))
