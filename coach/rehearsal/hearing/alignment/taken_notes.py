"""The notes of the page as they are in a take, each with all that was measured of it.

Conventions
-----------
Times are seconds from the take's first sample.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from coach.rehearsal.hearing.alignment.alike_passes import count_from_first
from coach.rehearsal.hearing.alignment.fine_onsets import FineWalk, FoundNote
from coach.rehearsal.hearing.alignment.key_fits import tune
from coach.rehearsal.hearing.alignment.legs import Leg, cut_legs, widen
from coach.rehearsal.hearing.alignment.look_evidence import LookEvidence, weigh
from coach.rehearsal.hearing.alignment.note_facts import (
    Claim,
    cents_of,
    core_of,
    give_back,
    is_there,
    key_of,
    level_of_note,
    ring_off_db_per_s,
)
from coach.rehearsal.hearing.alignment.refined_onsets import (
    MomentSigns,
    Onset,
    dry_envelope,
    refine_onsets,
)
from coach.rehearsal.hearing.alignment.rough_path import find_rough_path
from coach.rehearsal.hearing.alignment.turned_sound import TurnedSound
from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.features.features import Features
from coach.rehearsal.hearing.hearing_settings import HearingSettings


@dataclass(frozen=True, slots=True)
class TakenNote:
    """One note that is in the take."""

    note: int
    """Index on the page."""

    at: float
    """When it began."""

    end: float
    """When it stopped."""

    midi: int
    """Key that was heard."""

    cents: float
    """How sharp of that key, the take's tuning taken off."""

    level_db: float
    """Level of its middle, noise taken off."""

    bright_db: float
    """Share of upper sound in its middle."""

    sank_db: float
    """How far the sound had sunk between it and the note before; 0 for the first."""

    confidence: float
    """How sure it is, 0 to 1."""


@dataclass(frozen=True, slots=True)
class TakenLeg:
    """Notes played in a row."""

    notes: tuple[TakenNote, ...]
    """Those that are there, in order."""


@dataclass(frozen=True, slots=True)
class Taken:
    """All that was found in a take."""

    evidence: LookEvidence
    """What every look said."""

    legs: tuple[TakenLeg, ...]
    """In order of time; each has a note at least."""

    tried: tuple[TakenLeg, ...]
    """Notes that were tried before a leg, and are none of the run."""

    ring_db_per_s: float | None
    """How fast the room rings off; None where no gap tells."""

    def last_of_each(self) -> dict[int, TakenNote]:
        """Give each note that is there as it was played last."""
        return {note.note: note for leg in self.legs for note in leg.notes}

    def told_of_legs(self) -> list[list[TakenNote]]:
        """Give the notes of each leg that were not played again after it."""
        there = self.last_of_each()
        return [
            [note for note in leg.notes if there[note.note] is note]
            for leg in self.legs
        ]


def find_notes(
    features: Features,
    due: DuePart,
    first_moment_s: float | None,
    settings: HearingSettings,
) -> Taken:
    """Find the notes of the page in a take.

    Parameters
    ----------
    first_moment_s : float or None
        Where the take begins, in seconds from the first note; None when unknown.
    """
    page = {note.midi for note in due.notes}
    tuning = tune(features, page)
    evidence = weigh(features, tuning, settings.evidence, page)
    path = find_rough_path(evidence, due, first_moment_s, settings.rough)
    cut = cut_legs(path, due, settings.fine)
    if first_moment_s is None:
        cut = count_from_first(cut, due)
    legs = [widen(leg, due, settings.fine.around_notes) for leg in cut]
    walked = [(leg, FineWalk(evidence, due, leg, settings.fine).find()) for leg in legs]
    gaps = [gap for _, found in walked for gap in _gaps(found)]
    ring = ring_off_db_per_s(evidence, gaps, settings.notes)
    measurer = _Measurer(features, evidence, due, ring, settings)
    measured = (TakenLeg(measurer.measure(leg, found)) for leg, found in walked)
    played = [leg for leg in measured if leg.notes]
    tried = list(_false_starts(played, settings.notes.false_start_notes))
    taken = tuple(leg for leg in played if leg not in tried)
    return Taken(evidence, taken, tuple(tried), ring)


def _false_starts(legs: Sequence[TakenLeg], least: int) -> Iterator[TakenLeg]:
    """Give legs of few notes after which the player began no later on the page.

    A note that is tried before the run, or that began it, is none of the run.
    """
    for leg, following in pairwise(legs):
        if len(leg.notes) < least and following.notes[0].note <= leg.notes[0].note:
            yield leg


def _gaps(found: Sequence[FoundNote]) -> list[tuple[int, int]]:
    """Give the looks between the end of each note and the next one."""
    return [
        (note.end, following.begin)
        for note, following in pairwise(found)
        if following.begin > note.end
    ]


class _Measurer:
    """Measures found notes."""

    def __init__(
        self,
        features: Features,
        evidence: LookEvidence,
        due: DuePart,
        ring: float | None,
        settings: HearingSettings,
    ) -> None:
        self._features, self._evidence, self._due = features, evidence, due
        self._ring, self._settings = ring, settings
        usual = ring or settings.refine.usual_ring_db_per_s
        self._sound = MomentSigns(
            dry_envelope(features, usual, settings.refine),
            evidence,
            features.flux.astype(np.float64),
            TurnedSound(features, settings.turn),
        )

    def measure(self, leg: Leg, found: Sequence[FoundNote]) -> tuple[TakenNote, ...]:
        """Measure the notes of one leg, and leave out those that are none."""
        begins = dict(enumerate(leg.begins, leg.first))
        keys = self._keys(found)
        onsets = self._onsets(found, keys)
        claims = [
            Claim(
                note,
                onsets[k],
                keys[k],
                frozenset(keys[max(0, k - 1) : k] + keys[k + 1 : k + 2]),
            )
            for k, note in enumerate(found)
        ]
        there = [self._is_there(leg, claim) for claim in claims]
        kept = give_back(claims, there, self._due.notes, begins)
        keys = self._keys(kept)
        onsets = self._onsets(kept, keys)
        return tuple(self._note(kept, k, keys[k], onsets) for k in range(len(kept)))

    def _is_there(self, leg: Leg, claim: Claim) -> bool:
        """Tell whether a note is one: before the way began only at its own key."""
        due = self._due.notes[claim.note.note]
        is_given = claim.note.note < leg.way_first
        is_own = claim.key == due.midi or not is_given
        return is_own and is_there(self._evidence, claim, due, self._settings.notes)

    def _keys(self, found: Sequence[FoundNote]) -> list[int]:
        """Tell at which key each note was heard."""
        return [
            key_of(
                self._evidence,
                note,
                self._due.notes[note.note].midi,
                self._settings.notes,
            )
            for note in found
        ]

    def _onsets(self, found: Sequence[FoundNote], keys: list[int]) -> list[Onset]:
        """Refine the beginnings."""
        refine = self._settings.refine
        ring = self._ring or refine.usual_ring_db_per_s
        late_s = refine.ring_late_db / ring - refine.early_s
        return refine_onsets(self._sound, found, keys, late_s, refine)

    def _note(
        self, kept: Sequence[FoundNote], k: int, key: int, onsets: Sequence[Onset]
    ) -> TakenNote:
        """Put together what was measured of one note."""
        evidence, settings = self._evidence, self._settings.notes
        note = kept[k]
        ring = self._ring or self._settings.refine.usual_ring_db_per_s
        end = note.end * evidence.hop_s - settings.end_late_db / ring
        if k + 1 < len(kept):
            end = min(end, onsets[k + 1].at)
        a, b = core_of(note, settings)
        return TakenNote(
            note=note.note,
            at=onsets[k].at,
            end=max(end, onsets[k].at + evidence.hop_s),
            midi=key,
            cents=cents_of(self._features, evidence, note, key, settings),
            level_db=level_of_note(evidence, note, settings),
            bright_db=float(np.mean(self._features.bright_db[a:b])),
            sank_db=self._sank_db(kept[k - 1], note) if k else 0.0,
            confidence=self._confidence(note, key),
        )

    def _sank_db(self, before: FoundNote, note: FoundNote) -> float:
        """Tell how far the level sank between two notes."""
        level = self._evidence.level_db
        a, b = core_of(before, self._settings.notes)
        between = level[before.end : max(note.begin, before.end + 1) + 1]
        return float(np.median(level[a:b]) - between.min())

    def _confidence(self, note: FoundNote, key: int) -> float:
        """Tell how clearly a note stands out of its rivals and of the noise."""
        evidence, settings = self._evidence, self._settings
        a, b = core_of(note, settings.notes)
        fits = evidence.fits[a:b].mean(axis=0)
        own = key - evidence.first_midi
        rivals = np.delete(fits, own)
        lead = float(fits[own] - rivals.max()) / settings.trust.sure_fit
        voiced = float(np.mean(np.exp(evidence.voiced[a:b])))
        return voiced * float(np.clip(0.5 + 0.5 * lead, 0.0, 1.0))
