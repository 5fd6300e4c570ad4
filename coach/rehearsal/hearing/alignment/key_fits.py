"""How well each look fits each key of the page, at the take's own tuning."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.alignment.alignment_settings import EvidenceSettings
from coach.rehearsal.hearing.features.features import Features

Floats = NDArray[np.float32]
Fits = NDArray[np.float16]

SEMITONE_CENTS = 100.0


def tune(features: Features) -> float:
    """Tell how sharp a take is, in cents, from -50 to 50.

    Every look that fits some pitch well votes for how far its best pitch lies from a
    key of the page; the page's keys alone cannot tell more than a semitone.
    """
    salience = features.salience
    best = salience.argmax(axis=1)
    fit = salience[np.arange(len(salience)), best].astype(np.float32)
    steps = _steps(features)
    good = fit >= np.quantile(fit, 0.5)
    columns, rows = best[good], np.flatnonzero(good)
    inner = (columns > 0) & (columns < salience.shape[1] - 1)
    columns, rows = columns[inner], rows[inner]
    if not len(columns):
        return 0.0
    left, middle, right = (
        salience[rows, columns + k].astype(np.float32) for k in (-1, 0, 1)
    )
    bend = np.minimum(left - 2 * middle + right, -1e-4)
    shift = np.clip(0.5 * (left - right) / bend, -0.5, 0.5)
    pitch = features.pitches[columns] + shift / steps
    turn = np.exp(2j * np.pi * pitch) * fit[rows] ** 4
    return float(np.angle(turn.sum()) / (2 * np.pi) * SEMITONE_CENTS)


def _steps(features: Features) -> int:
    """How many pitches are looked for in a semitone."""
    return round(1.0 / float(features.pitches[1] - features.pitches[0]))


def fit_keys(
    features: Features, tuning_cents: float, widest_cents: float
) -> tuple[int, Fits]:
    """Give how well each look fits each key: at the take's tuning, or a little off."""
    steps = _steps(features)
    tuned = features.pitches - tuning_cents / SEMITONE_CENTS
    keys = np.round(tuned).astype(int)
    near = np.abs(tuned - keys) * SEMITONE_CENTS <= widest_cents
    first, last = int(keys[steps]), int(keys[-1 - steps])
    fits = np.empty((len(features.salience), last + 1 - first), dtype=np.float16)
    for key in range(first, last + 1):
        own = features.salience[:, (keys == key) & near]
        fits[:, key - first] = own.max(axis=1)
    return first, fits


def raise_keys(fits: Fits, level_db: Floats, settings: EvidenceSettings) -> Floats:
    """Tell by what to raise the fits of keys that fit no better where they sound.

    High notes have few partials under the ear's limit, and those of a flute stand
    little out of the noise: what such a key fits at best is all that can be asked.

    Returns
    -------
    ndarray
        Factors of 1 or more, shape (keys,).
    """
    best, height = fits.argmax(axis=1), fits.max(axis=1).astype(np.float32)
    room_db = np.percentile(level_db, settings.floor_percent)
    sounds = (height >= settings.comb_fit) & (
        level_db > room_db + settings.sounds_over_floor_db
    )
    heights = np.full(fits.shape[1], np.nan)
    for key in range(fits.shape[1]):
        near = height[sounds & (np.abs(best - key) <= settings.near_keys_count)]
        if len(near) >= settings.least_looks_count:
            heights[key] = np.percentile(near, settings.usual_percent)
    known = np.flatnonzero(np.isfinite(heights))
    if not len(known):
        return np.ones(len(heights), dtype=np.float32)
    usual = np.interp(np.arange(len(heights)), known, heights[known])
    raised = np.clip(settings.usual_fit / usual, 1.0, settings.most_raised_factor)
    return np.asarray(raised, dtype=np.float32)
