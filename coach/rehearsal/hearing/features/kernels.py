"""Combs of partials: how well a spectrum fits a pitch.

Each comb has a lobe at every partial and half a valley between, and sums to nothing, so
that noise fits no pitch and a pitch an octave up is met by its valleys.

References
----------
A. Camacho and J. G. Harris, A sawtooth waveform inspired pitch estimator for speech and
music, Journal of the Acoustical Society of America 124 (2008), 1638-1652: the lobes,
the square root of the magnitude and the decay of their weights.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.features.feature_settings import FeatureSettings
from coach.score.note import A4_HZ, A4_MIDI, SEMITONES_IN_OCTAVE

Floats = NDArray[np.float32]

LOBE = 0.25
"""Half width of a lobe, in partials; a valley reaches three times as far."""


def pitch_grid(lowest: int, highest: int, settings: FeatureSettings) -> Floats:
    """Give the pitches that are looked for, in MIDI keys with fractions."""
    steps = round(100.0 / settings.step_cents)
    count = (highest - lowest + 1 + 2 * settings.beyond_semitones) * steps
    first = lowest - settings.beyond_semitones - 0.5 + 0.5 / steps
    return np.asarray(first + np.arange(count) / steps, dtype=np.float32)


def lay_kernels(pitches: Floats, fft_hz: Floats, settings: FeatureSettings) -> Floats:
    """Lay a comb for each pitch, shape (bins, pitches), each of length 1."""
    kernels = np.zeros((len(fft_hz), len(pitches)))
    step_hz = fft_hz[1] - fft_hz[0]
    top = fft_hz[-1] - step_hz
    for k, pitch in enumerate(pitches):
        base = A4_HZ * 2.0 ** ((float(pitch) - A4_MIDI) / SEMITONES_IN_OCTAVE)
        most = max(settings.highest_hz / base, settings.least_partials_count)
        count = int(min(settings.partials_count, most, top / base))
        place = fft_hz / base
        partial = np.clip(np.round(place), 1, max(count, 1))
        away = np.abs(place - partial)
        comb = np.where(
            away < LOBE,
            np.cos(2 * np.pi * away),
            np.where(away < 3 * LOBE, 0.5 * np.cos(2 * np.pi * away), 0.0),
        )
        comb = np.where(place > LOBE, comb / np.sqrt(np.maximum(place, LOBE)), 0.0)
        used = comb != 0.0
        comb[used] -= comb[used].mean() if used.any() else 0.0
        kernels[:, k] = comb / max(1e-9, float(np.linalg.norm(comb)))
    return kernels.astype(np.float32)


def long_shares(pitches: Floats, settings: FeatureSettings) -> Floats:
    """Give how much the long window counts for each pitch, 0 to 1."""
    slope = (settings.long_below_midi - pitches) / settings.long_slope_semitones
    return np.asarray(1.0 / (1.0 + np.exp(-4.0 * slope)), dtype=np.float32)
