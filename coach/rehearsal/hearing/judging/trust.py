"""Whether anything may be said of a take at all, and how sure the ear is.

Silence is better than a guess: what is another piece, speech, noise or a click alone is
refused, with the reason.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.alignment.look_evidence import LookEvidence
from coach.rehearsal.hearing.alignment.taken_notes import Taken
from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.features.features import Features
from coach.rehearsal.hearing.heard import Doubt, Refusal, Refused
from coach.rehearsal.hearing.judging.judging_settings import TrustSettings

Looks = NDArray[np.bool_]

LOUD_PERCENT = 90.0
"""The horn is what the loudest tenth of the take sounds like."""

FLOOR_PERCENT = 2.0
NO_KEY = -1


@dataclass(frozen=True, slots=True)
class SoundFacts:
    """What can be told of a take before any note of it is known."""

    loud_db: float
    """Level of its loudest tenth."""

    over_noise_db: float
    """How far that stands over the room."""

    full_share: float
    """Share of samples at full scale."""


def sound_facts(features: Features) -> SoundFacts:
    """Measure how loud and clear a take is."""
    level = features.level_db
    loud = float(np.percentile(level, LOUD_PERCENT))
    floor = float(np.percentile(level, FLOOR_PERCENT))
    return SoundFacts(loud, loud - floor, features.full_share)


def refuse_sound(facts: SoundFacts, settings: TrustSettings) -> Refused | None:
    """Refuse what no ear could judge; None if it may be listened to."""
    if facts.loud_db < settings.silent_db:
        return Refused(Refusal.SILENT)
    if facts.full_share > settings.clipped_share:
        return Refused(Refusal.CLIPPED)
    return None


def refuse_notes(
    taken: Taken, due: DuePart, facts: SoundFacts, settings: TrustSettings
) -> Refused | None:
    """Refuse a take in which the notes of the page are not found.

    Notes
    -----
    What sounds must be held pitches; those inside the stretches that were aligned, and
    most of all there are, must be the page's; and most notes that were reached must be
    found.  Other bars of the same etude share much of either, but not of both.
    """
    is_loud = _loud_looks(taken.evidence, facts, settings)
    held, explained = _shares(taken, due, is_loud, settings)
    found = found_share(taken, due)
    snr = facts.over_noise_db
    if held < settings.least_held_share:
        is_faint = snr < settings.noisy_db and held >= settings.some_held_share
        why = Refusal.TOO_NOISY if is_faint else Refusal.NO_HORN
        return Refused(why)
    is_little = (
        explained < settings.least_explained_share
        or found < settings.least_found_share
        or explained * found < settings.least_fit_share
    )
    if is_little:
        steady = _steady_share(taken.evidence, is_loud, settings)
        if steady >= settings.least_steady_share:
            return Refused(Refusal.ANOTHER_PIECE)
        is_noisy = snr < settings.over_noise_db
        return Refused(Refusal.TOO_NOISY if is_noisy else Refusal.NO_HORN)
    return None


def _loud_looks(
    evidence: LookEvidence, facts: SoundFacts, settings: TrustSettings
) -> Looks:
    """Tell which looks are no mere room."""
    over_noise_db = evidence.floor_db + settings.loud_over_noise_db
    below_db = facts.loud_db - settings.loud_below_db
    return np.asarray(evidence.level_db > min(over_noise_db, below_db))


def _steady_share(
    evidence: LookEvidence, is_loud: Looks, settings: TrustSettings
) -> float:
    """Give the share of held pitches that stay on a key: a horn's do, speech glides."""
    held = is_loud & (evidence.best_fit >= settings.held_fit)
    best = np.where(held, evidence.clearest, NO_KEY)
    turns = np.flatnonzero(np.diff(best)) + 1
    begins = np.concatenate([[0], turns])
    lengths = np.diff(np.concatenate([begins, [len(best)]]))
    stays = lengths[best[begins] != NO_KEY]
    least = settings.steady_s / evidence.hop_s
    return float(stays[stays >= least].sum() / max(1, stays.sum()))


def _shares(
    taken: Taken, due: DuePart, is_loud: Looks, settings: TrustSettings
) -> tuple[float, float]:
    """Give the share of what is loud that is held pitch, and of that the page's."""
    evidence = taken.evidence
    best = evidence.clearest + evidence.first_midi
    sounds = evidence.voiced > evidence.silent
    held = evidence.best_fit >= settings.held_fit
    is_page = np.zeros(len(best), dtype=bool)
    for leg in (*taken.legs, *taken.tried):
        # A note that was struck hard and sinks seems over, and sounds on.
        over = [*(note.at for note in leg.notes[1:]), leg.notes[-1].end]
        for note, end in zip(leg.notes, over, strict=True):
            a, b = (round(t / evidence.hop_s) for t in (note.at, end))
            is_page[a:b] |= best[a:b] == due.notes[note.note].midi
    of_sound = held[is_loud].mean() if is_loud.any() else 0.0
    clear = held & sounds
    return float(of_sound), float(is_page[clear].mean()) if clear.any() else 0.0


def found_share(taken: Taken, due: DuePart) -> float:
    """Give the share of the notes reached that were found at their own pitch."""
    there = taken.last_of_each()
    reached = {
        k
        for leg in taken.legs
        for k in range(leg.notes[0].note, leg.notes[-1].note + 1)
    }
    asked = [k for k in reached if not due.notes[k].is_left_out]
    own = [k for k in asked if k in there and there[k].midi == due.notes[k].midi]
    return len(own) / len(asked) if asked else 0.0


def doubts_of(
    taken: Taken, facts: SoundFacts, settings: TrustSettings
) -> tuple[Doubt, ...]:
    """Name what makes a judgement less sure, of the sound alone."""
    rings = taken.ring_db_per_s
    doubtful = {
        Doubt.NOISY: facts.over_noise_db < settings.noisy_db,
        Doubt.CLIPPED: facts.full_share > settings.doubtful_share,
        Doubt.RINGING_ROOM: rings is not None and rings < settings.ring_db_per_s,
        Doubt.FAR_OFF_PITCH: abs(taken.evidence.tuning_cents) > settings.far_off_cents,
    }
    return tuple(doubt for doubt, is_so in doubtful.items() if is_so)
