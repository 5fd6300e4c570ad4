"""What each look says: is there a note, and how well does it fit each key.

Conventions
-----------
All evidence is in natural logarithms of a chance: 0 is certain, below is less.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.alignment.alignment_settings import EvidenceSettings
from coach.rehearsal.hearing.alignment.key_fits import Fits, fit_keys, raise_keys
from coach.rehearsal.hearing.features.features import Features

Floats = NDArray[np.float32]

PIECE_LOOKS = 4096
LOUD_PERCENT = 98.0
"""The loudest notes are as loud as so many hundredths of all looks at most."""

FULL_FLUX_PERCENT = 98.0
"""A full beginning is what stands out so many hundredths of all looks."""


@dataclass(frozen=True, slots=True)
class LookEvidence:
    """What every look of a take says."""

    hop_s: float
    """From one look to the next."""

    first_midi: int
    """Key of the first column of `fits`."""

    fits: Fits
    """How well each look fits each key at the take's tuning, and as far as can be asked
    of that key, shape (looks, keys)."""

    raised: Floats
    """By what each key's fits were raised for that, 1 or more, shape (keys,)."""

    any_key: Floats
    """What the fits of all keys speak for a key together, shape (looks,)."""

    clearest: NDArray[np.int16]
    """Column of the key that each look fits best ..."""

    best_fit: Floats
    """... and how well, shape (looks,)."""

    voiced: Floats
    """LookEvidence that a note sounds, shape (looks,)."""

    silent: Floats
    """LookEvidence that none does, shape (looks,)."""

    is_sound: NDArray[np.bool_]
    """Whether each look may be of a note of any key, shape (looks,)."""

    begins: Floats
    """How much each look is a beginning, 0 to 1, shape (looks,)."""

    dips: Floats
    """How far each look's level lies in a dip, in decibels, shape (looks,)."""

    level_db: Floats
    """Level, shape (looks,)."""

    floor_db: float
    """Level of the room's noise."""

    tuning_cents: float
    """How sharp the take is."""

    settings: EvidenceSettings
    """What counts as what."""

    def for_key(self, midi: int, looks: slice) -> Floats:
        """Give the evidence that looks are of a key, if they are of a note.

        It is worked out where it is asked for: a long take has many looks and keys.
        """
        fits = self.fits[looks, midi - self.first_midi].astype(np.float32)
        told = self.settings.pitch_weight * fits - self.any_key[looks]
        return np.asarray(np.maximum(told, self.settings.least_log))


def weigh(
    features: Features,
    tuning_cents: float,
    settings: EvidenceSettings,
    page: Collection[int] = (),
) -> LookEvidence:
    """Turn looks into evidence.

    A note stands out of the noise, is about as loud as what was just before, is no
    ring of the room, and has partials: what fits worst of these speaks for all.

    Parameters
    ----------
    page : collection of int
        Keys of the page: no fits below them are raised, nor such between them as are
        far from all.
    """
    first, fits = fit_keys(features, tuning_cents, settings.widest_cents)
    raised = raise_keys(fits, features.level_db, settings)
    raised[_off_page(first + np.arange(len(raised)), page, settings)] = 1.0
    fits *= raised.astype(np.float16)
    clearest, best_fit, any_key = _sum_up(fits, settings)
    level = features.level_db
    floor = _floor_db(level, settings)
    says = np.minimum.reduce(
        [
            settings.over_floor_per_db * (level - floor - settings.over_floor_db),
            _loud_enough(features, settings),
            _no_ring(features, settings),
            settings.comb_weight * (best_fit - settings.comb_fit),
        ]
    )
    logit = np.clip(says, -settings.most_logit, settings.most_logit)
    voiced = -np.logaddexp(0.0, -logit).astype(np.float32)
    return LookEvidence(
        hop_s=features.hop_s,
        first_midi=first,
        fits=fits,
        raised=raised,
        any_key=any_key,
        clearest=clearest,
        best_fit=best_fit,
        voiced=voiced,
        silent=-np.logaddexp(0.0, logit).astype(np.float32),
        is_sound=_is_sound(level, best_fit, features.hop_s, settings),
        begins=_begins(features, np.exp(voiced), settings),
        dips=_dips(level, max(1, round(settings.valley_s / features.hop_s))),
        level_db=level,
        floor_db=floor,
        tuning_cents=tuning_cents,
        settings=settings,
    )


def _off_page(
    keys: NDArray[np.int64], page: Collection[int], settings: EvidenceSettings
) -> NDArray[np.bool_]:
    """Tell which keys are none of the page, nor a slip from one.

    What few partials fit fits an octave lower too, where no note of the page is.
    """
    if not page:
        return np.zeros(len(keys), dtype=bool)
    apart = np.abs(keys[:, None] - np.array(sorted(page))).min(axis=1)
    is_far = (apart > settings.near_keys_count) & (keys < max(page))
    return np.asarray((keys < min(page)) | is_far)


def _floor_db(level: Floats, settings: EvidenceSettings) -> float:
    """Tell up to which level there is but the room, or what a recorder leaves of it.

    A take without noise, as a program makes it, rings on at a single bit.
    """
    softest, loudest = np.percentile(level, [settings.floor_percent, LOUD_PERCENT])
    return float(max(softest, loudest - settings.widest_range_db))


def _is_sound(
    level: Floats, best_fit: Floats, hop_s: float, settings: EvidenceSettings
) -> NDArray[np.bool_]:
    """Tell which looks may be of a note: not what is soft and unclear before a note."""
    reach = max(1, round(settings.unclear_s / hop_s))
    after = _loudest_before(level[::-1], reach)[::-1]
    is_clear = best_fit >= settings.unclear_fit
    return np.asarray(is_clear | (after - level < settings.unclear_db))


def _loud_enough(features: Features, settings: EvidenceSettings) -> Floats:
    """Tell how much speaks for a note by its level against what was just before.

    One after an accent is far softer, and yet no ring: nothing of it sounded before.
    """
    back = max(1, round(settings.dip_window_s / features.hop_s))
    under = features.level_db - _loudest_before(features.level_db, back)
    new = settings.fresh_per_db * (features.fresh_db - settings.new_fresh_db)
    deeper = settings.dip_per_db * (under + settings.new_dip_db)
    usual = settings.dip_per_db * (under + settings.dip_db)
    return np.asarray(np.maximum(usual, np.minimum(new, deeper)))


def _no_ring(features: Features, settings: EvidenceSettings) -> Floats:
    """Tell how much speaks against a ring of the room.

    What sounded before at the same pitch may hide a note that is softer; but a ring
    sinks, and what is held is none.
    """
    steady = max(1, round(settings.steady_s / features.hop_s))
    span_db = _unsteady_db(features.level_db, steady)
    fresh = settings.fresh_per_db * (features.fresh_db - settings.fresh_db)
    held = settings.steady_per_db * (settings.steady_db - span_db)
    return np.asarray(np.maximum(fresh, held))


def _sum_up(
    fits: Fits, settings: EvidenceSettings
) -> tuple[NDArray[np.int16], Floats, Floats]:
    """Give each look's clearest key, how well that fits, and what all fits speak.

    Piece after piece, since a take is long.
    """
    clearest = np.empty(len(fits), dtype=np.int16)
    best_fit, any_key = np.empty((2, len(fits)), dtype=np.float32)
    for begin in range(0, len(fits), PIECE_LOOKS):
        piece = slice(begin, begin + PIECE_LOOKS)
        own = fits[piece].astype(np.float32)
        clearest[piece], best_fit[piece] = own.argmax(axis=1), own.max(axis=1)
        above = settings.pitch_weight * (own - best_fit[piece, None])
        together = np.log(np.exp(above).sum(axis=1))
        any_key[piece] = settings.pitch_weight * best_fit[piece] + together
    return clearest, best_fit, any_key


def _begins(features: Features, sounds: Floats, settings: EvidenceSettings) -> Floats:
    """Tell how much each look is a beginning: new sound, and no ring any more.

    Where a ring sinks into the room's noise that is fresh, too, but no note: only as
    far as one sounds just after does it count.
    """
    full = float(np.percentile(features.flux, FULL_FLUX_PERCENT)) or 1.0
    is_new = np.clip(features.flux / full, 0.0, 1.0)
    reach = max(1, round(settings.freshening_s / features.hop_s))
    fresh = np.pad(features.fresh_db, reach, "edge")
    freshening = (fresh[2 * reach :] - fresh[: -2 * reach]) / settings.freshening_db
    follows = np.pad(sounds, (0, reach), "edge")[reach:]
    share = settings.freshening_share
    is_fresh = follows * np.clip(freshening, 0.0, 1.0)
    return np.asarray((1.0 - share) * is_new + share * is_fresh)


def _unsteady_db(level: Floats, reach: int) -> Floats:
    """Tell how far the level goes up and down just before a look, or just after it."""
    padded = np.pad(level, reach, "edge")
    windows = np.lib.stride_tricks.sliding_window_view(padded, reach + 1)
    spans = windows.max(axis=1) - windows.min(axis=1)
    return np.asarray(np.minimum(spans[: len(level)], spans[reach:]))


def _loudest_before(level: Floats, back: int) -> Floats:
    """Give the loudest of the last looks, each look itself among them."""
    padded = np.concatenate([np.full(back, level[0]), level])
    windows = np.lib.stride_tricks.sliding_window_view(padded, back + 1)
    return np.asarray(windows.max(axis=1))


def _dips(level: Floats, reach: int) -> Floats:
    """Tell how far each look lies below the loudest before and after it."""
    before = _loudest_before(level, reach)
    after = _loudest_before(level[::-1], reach)[::-1]
    return np.asarray(np.minimum(before, after) - level)
