"""What each found note was: its key, tuning, level and end; or that it was none.

Conventions
-----------
Looks count from the take's first; levels are decibels of full scale.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.alignment.alignment_settings import NoteSettings
from coach.rehearsal.hearing.alignment.fine_onsets import FoundNote
from coach.rehearsal.hearing.alignment.key_fits import SEMITONE_CENTS
from coach.rehearsal.hearing.alignment.look_evidence import LookEvidence
from coach.rehearsal.hearing.alignment.refined_onsets import Onset
from coach.rehearsal.hearing.due_part import DueNote
from coach.rehearsal.hearing.features.features import POWER_DB, Features

Floats = NDArray[np.float64]

FLOOR_MARGIN_DB = 9.0
"""Nearer to the noise than this no level tells of the room: half a decibel is noise."""

LEAST_LOOKS = 9
LEAST_FALL_DB = 5.0
"""A fall over fewer looks, or less far, is none of the room's ..."""

LEAST_GAPS = 3
"""... and so many falls tell of it, at least."""

HALF = 0.5
"""Half a semitone."""


def core_of(note: FoundNote, settings: NoteSettings) -> tuple[int, int]:
    """Give the looks in the middle of a note, one at least."""
    length = note.end - note.begin
    a = note.begin + round(settings.core_from_share * length)
    b = note.begin + round(settings.core_to_share * length)
    return a, max(a + 1, b)


def key_of(
    evidence: LookEvidence, note: FoundNote, due_midi: int, settings: NoteSettings
) -> int:
    """Tell at which key a note was heard: the page's, unless another fits better.

    How well it does so counts as it was heard: raised, a neighbour might win.  Where
    the page's key is heard for a good part, as in a trill, the note is the page's.
    """
    a, b = core_of(note, settings)
    looks = evidence.fits[a:b] / evidence.raised
    fits, due = looks.mean(axis=0), due_midi - evidence.first_midi
    best = int(fits.argmax())
    own_share = float(np.mean(looks.argmax(axis=1) == due))
    is_own = own_share >= settings.own_share
    if is_own or fits[best] <= fits[due] + settings.other_fit:
        return due_midi
    return best + evidence.first_midi


def cents_of(
    features: Features,
    evidence: LookEvidence,
    note: FoundNote,
    key: int,
    settings: NoteSettings,
) -> float:
    """Tell how sharp a note was of its key, the tuning of the take taken off."""
    a, b = core_of(note, settings)
    tuned = features.pitches - evidence.tuning_cents / SEMITONE_CENTS
    near = np.flatnonzero(np.abs(tuned - key) <= HALF)
    fits = features.salience[a:b, near].astype(np.float64).mean(axis=0)
    k = int(np.clip(fits.argmax(), 1, len(near) - 2))
    left, middle, right = fits[k - 1], fits[k], fits[k + 1]
    bend = min(left - 2 * middle + right, -1e-6)
    shift = float(np.clip(0.5 * (left - right) / bend, -0.5, 0.5))
    step = float(features.pitches[1] - features.pitches[0])
    return (float(tuned[near[k]]) + shift * step - key) * SEMITONE_CENTS


def level_of_note(
    evidence: LookEvidence, note: FoundNote, settings: NoteSettings
) -> float:
    """Tell how loud the middle of a note was, the room's noise taken off."""
    a, b = core_of(note, settings)
    power = 10.0 ** (evidence.level_db[a:b] / POWER_DB)
    noise = 10.0 ** (evidence.floor_db / POWER_DB)
    return POWER_DB * float(np.log10(max(float(power.mean()) - noise, noise / 10)))


@dataclass(frozen=True, slots=True)
class Claim:
    """A note that may be in the take, beside its neighbours."""

    note: FoundNote
    """Which, and where."""

    onset: Onset
    """How it began."""

    key: int
    """Key at which it was heard."""

    neighbours: frozenset[int]
    """Keys at which the notes beside it were heard."""


def is_there(
    evidence: LookEvidence, claim: Claim, due: DueNote, settings: NoteSettings
) -> bool:
    """Tell whether a note is one, or a remainder of its neighbours."""
    note = claim.note
    a, b = core_of(note, settings)
    length_s = note.end * evidence.hop_s - claim.onset.at
    written_s = float(due.end - due.due)
    if float(np.mean(np.exp(evidence.voiced[a:b]))) < settings.least_voiced_share:
        return False
    if length_s < min(settings.shortest_s, settings.least_share * written_s):
        return False
    is_held = claim.key != due.midi and claim.key in claim.neighbours
    return not is_held or claim.onset.valley_db >= settings.held_valley_db


def give_back(
    claims: Sequence[Claim],
    there: Sequence[bool],
    due: Sequence[DueNote],
    begins: Mapping[int, float],
) -> list[FoundNote]:
    """Keep what is there; a repeated note's sound goes to the one that was due.

    Where one of two notes of a key is missing, the walk may have taken either.

    Parameters
    ----------
    begins : mapping
        Roughly when each note of the page begins, in seconds.
    """
    notes = [claim.note for claim in claims]
    kept = list(there)
    for k, (claim, following) in enumerate(pairwise(claims)):
        one, other = claim.note, following.note
        if kept[k] or not kept[k + 1] or due[one.note].midi != due[other.note].midi:
            continue
        sound = following.onset.at
        if abs(sound - begins[one.note]) < abs(sound - begins[other.note]):
            notes[k] = FoundNote(one.note, one.begin, other.end)
            kept[k], kept[k + 1] = True, False
    return [note for note, is_kept in zip(notes, kept, strict=True) if is_kept]


def ring_off_db_per_s(
    evidence: LookEvidence, gaps: Sequence[tuple[int, int]], settings: NoteSettings
) -> float | None:
    """Measure how fast the room rings off, from the gaps of a take.

    A line through a whole fall tells: a single look may lie in a hole of the ring.

    Returns
    -------
    float or None
        Decibels a second, the middle of all gaps; None where too few tell.
    """
    slopes = []
    back = max(1, round(settings.end_window_s / evidence.hop_s))
    for begin, end in gaps:
        level = evidence.level_db[max(0, begin - back) : end].astype(np.float64)
        height = float(level[:back].max())
        least = max(height - settings.ring_to_db, evidence.floor_db + FLOOR_MARGIN_DB)
        below = np.flatnonzero(level <= height - settings.ring_from_db)
        first = int(below[0]) if len(below) else len(level)
        ended = np.flatnonzero(level[first:] <= least)
        last = first + int(ended[0]) if len(ended) else len(level) - 1
        fall = level[first : last + 1]
        if len(fall) >= LEAST_LOOKS and fall[0] - fall[-1] >= LEAST_FALL_DB:
            slopes.append(-float(np.polyfit(np.arange(len(fall)), fall, 1)[0]))
    if len(slopes) < LEAST_GAPS:
        return None
    return float(np.median(slopes)) / evidence.hop_s
