"""What the room still rings with, taken off each look's spectrum.

A room rings with what sounded a moment before, and ever less with what sounded earlier:
an exponential average of the spectra before a look tells what of it may be ring.  What
sounds all the time, as noise does, is in that average too, and goes with it.

References
----------
K. Lebart, J. M. Boucher and P. N. Denbigh, A new method based on spectral subtraction
for speech dereverberation, Acta Acustica 87 (2001), 359-366: the late ring's power as a
decayed copy of the power before.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.features.feature_settings import FeatureSettings

Floats = NDArray[np.float32]

LEAST_SHARE = 0.02
"""So much of a spectrum's power always stays: 17 dB below it."""


class Ring:
    """The ring in one kind of spectra, followed from look to look."""

    def __init__(self, hop_s: float, settings: FeatureSettings) -> None:
        self._late = max(1, round(settings.ring_late_s / hop_s))
        self._kept = float(np.exp(-hop_s / settings.ring_fall_s))
        self._share = settings.ring_share
        self._before: Floats | None = None
        self._average: Floats | None = None

    def forget(self) -> None:
        """Begin anew, as if the next look had sounded all the time before."""
        self._before = self._average = None

    def dried(self, power: Floats) -> Floats:
        """Take the ring off spectra in a row: power, shape (looks, bins)."""
        if self._before is None or self._average is None:
            self._before = np.repeat(power[:1], self._late, axis=0)
            self._average = power[0]
        whole = np.concatenate([self._before, power])
        averages = self._averages(whole[: len(power)], self._average)
        self._before, self._average = whole[len(power) :], averages[-1]
        dry = power - self._share * averages
        return np.asarray(np.maximum(dry, LEAST_SHARE * power))

    def _averages(self, power: Floats, average: Floats) -> Floats:
        """Give the exponential average up to each look; `average` is that before them.

        Each pass adds what as many looks again have brought: logarithmically many.
        """
        sums = np.float32(1.0 - self._kept) * power
        sums[0] += np.float32(self._kept) * average
        reach = 1
        while reach < len(sums):
            sums[reach:] += np.float32(self._kept**reach) * sums[:-reach]
            reach *= 2
        return sums
