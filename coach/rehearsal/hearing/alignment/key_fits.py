"""How well each look fits each key of the page, at the take's own tuning."""

from __future__ import annotations

from collections.abc import Collection

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.alignment.alignment_settings import EvidenceSettings
from coach.rehearsal.hearing.features.features import Features

Floats = NDArray[np.float32]
Fits = NDArray[np.float16]

SEMITONE_CENTS = 100.0

CLEARLY = 0.1
"""A tuning is another one where it brings so many more looks to the page's keys."""

TURN_S = 0.2
"""One turn of vibrato: 5 to 7 in a second are usual (common practice, no published
source)."""

WIDEST_TURN = 1.5
"""In semitones: what goes farther is another note."""


def tune(features: Features, page: Collection[int] = ()) -> float:
    """Tell how sharp a take is, in cents, from -50 to 50.

    Every look that fits some pitch well votes for how far its best pitch lies from a
    key of the page; the page's keys alone cannot tell more than a semitone.
    """
    salience = features.salience
    best = salience.argmax(axis=1)
    fit = salience[np.arange(len(salience)), best].astype(np.float32)
    steps = _steps(features)
    inner = (best > 0) & (best < salience.shape[1] - 1)
    good = inner & (fit >= np.quantile(fit, 0.5))
    if not good.any():
        return 0.0
    wide = np.full(len(salience), np.nan)
    wide[inner] = (
        features.pitches[best[inner]] + _between(salience, best, inner) / steps
    )
    cents = _vote(wide[good], fit[good])
    held = _held_pitch(wide, round(TURN_S / features.hop_s))
    there = np.isfinite(held)
    if not there.any():
        return cents
    calm = _vote(held[there], fit[there])
    pitch = wide[there]
    more = _share_of_page(pitch, calm, page) - _share_of_page(pitch, cents, page)
    return calm if more > CLEARLY else cents


def _between(
    salience: Fits, best: NDArray[np.int64], inner: NDArray[np.bool_]
) -> NDArray[np.float32]:
    """Tell how far between the pitches looked for the best one lies, in their steps."""
    columns, rows = best[inner], np.flatnonzero(inner)
    left, middle, right = (
        salience[rows, columns + k].astype(np.float32) for k in (-1, 0, 1)
    )
    bend = np.minimum(left - 2 * middle + right, -1e-4)
    return np.asarray(np.clip(0.5 * (left - right) / bend, -0.5, 0.5))


def _vote(pitch: NDArray[np.float64], fit: Floats) -> float:
    """Tell how sharp of their keys most pitches are, in cents."""
    turn = np.exp(2j * np.pi * pitch) * fit.astype(np.float64) ** 4
    return float(np.angle(turn.sum()) / (2 * np.pi) * SEMITONE_CENTS)


def _share_of_page(
    pitch: NDArray[np.float64], cents: float, page: Collection[int]
) -> float:
    """Give the share of pitches whose key is on the page, if that is the tuning."""
    keys = np.round(pitch - cents / SEMITONE_CENTS)
    return float(np.isin(keys, list(page)).mean())


def _held_pitch(pitch: NDArray[np.float64], count: int) -> NDArray[np.float64]:
    """Give the middle of the turn of vibrato about each look; NaN where none is held.

    A wide vibrato is longest at its edges, and these alone say that it is half a
    semitone off.
    """
    held = np.full(len(pitch), np.nan)
    turns = np.lib.stride_tricks.sliding_window_view(pitch, count)
    low, high = turns.min(axis=1), turns.max(axis=1)
    middle = np.where(high - low <= WIDEST_TURN, (low + high) / 2, np.nan)
    held[count // 2 : count // 2 + len(middle)] = middle
    return held


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
