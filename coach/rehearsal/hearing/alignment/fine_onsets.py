"""Find each note of a leg to the look: a walk from note to note.

A note begins in a window about its rough place, sounds until it stops or the next
begins, and the rest is silence.  All ways of doing so are weighed at once, notes that
are missing among them.

References
----------
The segmental (semi-Markov) form of the Viterbi algorithm: M. Ostendorf, V. Digalakis
and O. Kimball, From HMM's to segment models, IEEE Transactions on Speech and Audio
Processing 4 (1996), 360-378.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.alignment.alignment_settings import FineSettings
from coach.rehearsal.hearing.alignment.legs import Leg
from coach.rehearsal.hearing.alignment.look_evidence import LookEvidence
from coach.rehearsal.hearing.due_part import DuePart

Floats = NDArray[np.float64]

NONE = -1
NEVER = 1e9
"""The cost of what is not allowed."""


@dataclass(frozen=True, slots=True)
class FoundNote:
    """One note that was found."""

    note: int
    """Index on the page."""

    begin: int
    """Look at which it begins."""

    end: int
    """Look at which it stops."""


@dataclass(frozen=True, slots=True)
class _Window:
    """Where a note may begin, and how good each place is by itself."""

    first: int
    """First look."""

    gains: Floats
    """Worth of each look from there on."""


@dataclass(frozen=True, slots=True)
class _Step:
    """Where a best way to a note comes from."""

    before: int
    """Place of the note before in the leg; NONE where the leg begins."""

    begins: NDArray[np.int64]
    """For each look of the window, that note's look in its own window."""


class FineWalk:
    """The walk through one leg."""

    def __init__(
        self, evidence: LookEvidence, due: DuePart, leg: Leg, settings: FineSettings
    ) -> None:
        self._evidence, self._settings = evidence, settings
        self._notes = due.notes[leg.first : leg.last + 1]
        self._leg = leg
        self._silent = _sums(evidence.silent)
        self._sums: dict[tuple[int, frozenset[int]], Floats] = {}
        self._clearest = evidence.fits.argmax(axis=1)
        self._least = max(1, round(settings.least_note_s / evidence.hop_s))
        self._centres = np.array(leg.begins) / evidence.hop_s
        self._windows = [self._window(k) for k in range(len(self._notes))]
        self._best: list[Floats] = []
        self._steps: list[list[_Step]] = []
        self._which: list[NDArray[np.int64]] = []

    def find(self) -> list[FoundNote]:
        """Find the notes."""
        for k, window in enumerate(self._windows):
            looks = window.first + np.arange(len(window.gains))
            scores = [self._silent[looks] - self._settings.unplayed * k]
            steps = [_Step(NONE, np.zeros(0, np.int64))]
            for j in self._before(k):
                score, step = self._reach(j, k)
                scores.append(score - self._skipped(j + 1, k))
                steps.append(step)
            table = np.stack(scores)
            which = table.argmax(axis=0)
            self._best.append(table.max(axis=0) + window.gains)
            self._steps.append(steps)
            self._which.append(which)
        return self._read_back()

    def _window(self, k: int) -> _Window:
        """Lay out where a note may begin."""
        settings, hop = self._settings, self._evidence.hop_s
        reach = round(settings.reach_s / hop)
        centre = round(self._centres[k])
        count = len(self._evidence.level_db)
        first = min(max(0, centre - reach), count - 2)
        last = max(first + 1, min(count - 1, centre + reach))
        looks = np.arange(first, last)
        away = (looks - self._centres[k]) * hop / settings.place_s
        slurred = self._notes[k].is_slurred
        worth = settings.slurred if slurred else settings.tongued
        gains = worth * self._evidence.begins[looks] - np.minimum(
            0.5 * away**2, settings.most_place
        )
        if k and self._notes[k - 1].midi == self._notes[k].midi:
            back = np.maximum(looks - round(settings.valley_before_s / hop), 0)
            depth = self._evidence.dips[back] / settings.deep_db
            gains += settings.repeated * np.minimum(depth, 1.0)
        return _Window(first, gains)

    def _skipped(self, first: int, end: int) -> float:
        """Tell the cost of missing notes from one to before another."""
        missing = sum(not note.is_left_out for note in self._notes[first:end])
        if missing > self._settings.most_missing_notes:
            return NEVER
        return missing * self._settings.missing

    def _before(self, k: int) -> Iterator[int]:
        """Name the notes that may come right before a note."""
        for j in range(k - 1, -1, -1):
            if self._skipped(j + 1, k) >= NEVER:
                return
            yield j

    def _sums_of(self, k: int) -> Floats:
        """Give the sums of the evidence for a note, sounded as written or wrong.

        A look at a pitch that is none of the notes around it may be this one, wrong.
        """
        around = frozenset(n.midi for n in self._notes[max(0, k - 1) : k + 2])
        name = (self._notes[k].midi, around)
        if name not in self._sums:
            evidence = self._evidence
            own = evidence.keys[:, name[0] - evidence.first_midi]
            columns = np.array(sorted(around)) - evidence.first_midi
            is_other = ~np.isin(self._clearest, columns)
            other = np.where(is_other, self._settings.wrong, -np.inf)
            self._sums[name] = _sums(evidence.voiced + np.maximum(own, other))
        return self._sums[name]

    def _reach(self, j: int, k: int) -> tuple[Floats, _Step]:
        """Weigh all ways from one note to a later one."""
        hop, settings = self._evidence.hop_s, self._settings
        here, there = self._windows[j], self._windows[k]
        begins = here.first + np.arange(len(here.gains))
        nexts = there.first + np.arange(len(there.gains))
        looks = np.arange(here.first, there.first + len(there.gains))
        sums = self._sums_of(j)
        surplus = sums[looks] - self._silent[looks]
        allowed = looks[None, :] >= begins[:, None] + self._least
        table = np.where(allowed, surplus[None, :], -np.inf)
        until = np.maximum.accumulate(table, axis=1)
        columns = nexts - here.first
        apart = (nexts[None, :] - begins[:, None]) * hop
        due = (self._centres[k] - self._centres[j]) * hop
        gone = columns >= 0
        score = (
            (self._best[j] - sums[begins])[:, None]
            + until[:, np.maximum(columns, 0)]
            + self._silent[nexts][None, :]
            - np.abs(apart - due) / settings.apart_s
        )
        held = sums[nexts][None, :] + (self._best[j] - sums[begins])[:, None]
        held = held - np.abs(apart - due) / settings.apart_s
        held = np.where(apart >= self._least * hop, held, -np.inf)
        score -= 0.0 if self._has_gap(j, k) else settings.gap
        score = np.where(gone[None, :], np.maximum(score, held), -np.inf)
        best = score.argmax(axis=0)
        return score[best, np.arange(len(nexts))], _Step(j, best)

    def _has_gap(self, j: int, k: int) -> bool:
        """Tell whether silence is due between two notes."""
        note, following = self._notes[j], self._notes[k]
        is_cut = note.end < note.written_end
        return is_cut or following.due > note.written_end + self._evidence.hop_s

    def _stops(self, j: int, begin: int, following: int) -> int:
        """Find the look at which a note stops before the next begins."""
        sums = self._sums_of(j)
        looks = np.arange(min(begin + self._least, following), following + 1)
        surplus = sums[looks] - self._silent[looks]
        return int(looks[surplus.argmax()])

    def _read_back(self) -> list[FoundNote]:
        """Follow the best way back from the leg's end."""
        best: tuple[float, int, int, int] = (-np.inf, NONE, 0, 0)
        reach = self._settings.reach_s / self._evidence.hop_s
        limit = round(self._leg.end / self._evidence.hop_s + reach)
        limit = min(len(self._evidence.level_db), limit)
        for k, window in enumerate(self._windows):
            begins = window.first + np.arange(len(window.gains))
            sums = self._sums_of(k)
            looks = np.arange(window.first, limit + 1)
            surplus = sums[looks] - self._silent[looks]
            until = np.maximum.accumulate(surplus[::-1])[::-1]
            places = np.minimum(begins + self._least - window.first, len(looks) - 1)
            total = self._best[k] - sums[begins] + until[places]
            total -= self._settings.unplayed * (len(self._notes) - 1 - k)
            row = int(total.argmax())
            if total[row] > best[0]:
                end = int(looks[places[row] + surplus[places[row] :].argmax()])
                best = (float(total[row]), k, row, end)
        _, k, row, end = best
        found: list[FoundNote] = []
        while True:
            begin = self._windows[k].first + row
            found.append(FoundNote(self._leg.first + k, begin, end))
            step = self._steps[k][int(self._which[k][row])]
            if step.before == NONE:
                return found[::-1]
            row, k = int(step.begins[row]), step.before
            end = self._stops(k, self._windows[k].first + row, begin)


def _sums(evidence: NDArray[np.float32]) -> Floats:
    """Give the sums of evidence up to each look."""
    return np.concatenate([[0.0], np.cumsum(evidence, dtype=np.float64)])
