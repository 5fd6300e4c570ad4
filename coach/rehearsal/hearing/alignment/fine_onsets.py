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
from coach.rehearsal.hearing.alignment.evidence import Evidence
from coach.rehearsal.hearing.alignment.legs import Leg
from coach.rehearsal.hearing.due_part import DuePart

Floats = NDArray[np.float64]

NONE = -1


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

    ends: NDArray[np.int64]
    """For each look, the look at which that note stopped."""


class FineWalk:
    """The walk through one leg."""

    def __init__(
        self, evidence: Evidence, due: DuePart, leg: Leg, settings: FineSettings
    ) -> None:
        self._evidence, self._settings = evidence, settings
        self._notes = due.notes[leg.first : leg.last + 1]
        self._leg = leg
        self._silent = _sums(evidence.silent)
        self._sounding: dict[int, Floats] = {}
        self._least = max(1, round(settings.least_note_s / evidence.hop_s))
        self._centres = np.array(leg.begins) / evidence.hop_s
        self._windows = [self._window(k) for k in range(len(self._notes))]
        self._best: list[Floats] = []
        self._steps: list[list[_Step]] = []
        self._which: list[NDArray[np.int64]] = []

    def find(self) -> list[FoundNote]:
        """Find the notes."""
        for k, window in enumerate(self._windows):
            scores = [np.full(len(window.gains), -self._skipped(0, k))]
            if scores[0][0] < -1e6:
                scores[0][:] = -np.inf
            steps = [_Step(NONE, np.zeros(0, np.int64), np.zeros(0, np.int64))]
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
        return _Window(first, gains)

    def _skipped(self, first: int, end: int) -> float:
        """Tell the cost of missing notes from one to before another."""
        missing = sum(not note.is_left_out for note in self._notes[first:end])
        if missing > self._settings.most_missing_notes:
            return 1e9
        return missing * self._settings.missing

    def _before(self, k: int) -> Iterator[int]:
        """Name the notes that may come right before a note."""
        for j in range(k - 1, -1, -1):
            if self._skipped(j + 1, k) >= 1e9:
                return
            yield j

    def _sums_of(self, midi: int) -> Floats:
        """Give the sums of a key's evidence."""
        if midi not in self._sounding:
            self._sounding[midi] = _sums(self._evidence.sounding(midi))
        return self._sounding[midi]

    def _reach(self, j: int, k: int) -> tuple[Floats, _Step]:
        """Weigh all ways from one note to a later one."""
        hop, settings = self._evidence.hop_s, self._settings
        here, there = self._windows[j], self._windows[k]
        begins = here.first + np.arange(len(here.gains))
        nexts = there.first + np.arange(len(there.gains))
        looks = np.arange(here.first, there.first + len(there.gains))
        sums = self._sums_of(self._notes[j].midi)
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
        has_gap = self._notes[j].end < self._notes[j].written_end or (
            self._notes[k].due > self._notes[j].written_end + hop
        )
        score -= 0.0 if has_gap else settings.gap
        score = np.where(gone[None, :], np.maximum(score, held), -np.inf)
        best = score.argmax(axis=0)
        ends = self._ends(surplus, begins[best], nexts, here.first)
        rows = np.arange(len(nexts))
        ends = np.where(held[best, rows] >= score[best, rows], nexts, ends)
        return score[best, rows], _Step(j, best, ends)

    def _ends(
        self,
        surplus: Floats,
        begins: NDArray[np.int64],
        nexts: NDArray[np.int64],
        first: int,
    ) -> NDArray[np.int64]:
        """Find where the note before each look stops."""
        ends = np.empty(len(nexts), dtype=np.int64)
        for row, (begin, following) in enumerate(zip(begins, nexts, strict=True)):
            a, b = begin + self._least - first, following + 1 - first
            ends[row] = first + a + surplus[a:b].argmax() if b > a else following
        return ends

    def _read_back(self) -> list[FoundNote]:
        """Follow the best way back from the leg's end."""
        best: tuple[float, int, int, int] = (-np.inf, NONE, 0, 0)
        limit = min(
            len(self._evidence.level_db),
            round((self._leg.end + self._settings.reach_s) / self._evidence.hop_s),
        )
        for k in range(len(self._notes)):
            lost = self._skipped(k + 1, len(self._notes))
            if lost >= 1e9:
                continue
            window = self._windows[k]
            begins = window.first + np.arange(len(window.gains))
            sums = self._sums_of(self._notes[k].midi)
            looks = np.arange(window.first, max(limit, begins[-1] + self._least + 1))
            looks = looks[looks < len(sums)]
            surplus = sums[looks] - self._silent[looks]
            until = np.maximum.accumulate(surplus[::-1])[::-1]
            places = np.minimum(begins + self._least - window.first, len(looks) - 1)
            total = self._best[k] - sums[begins] + until[places]
            total = total + self._silent[looks[-1]] - lost
            row = int(total.argmax())
            end = int(looks[places[row] + surplus[places[row] :].argmax()])
            if total[row] > best[0]:
                best = (float(total[row]), k, row, end)
        _, k, row, end = best
        found: list[FoundNote] = []
        while k != NONE:
            begin = self._windows[k].first + row
            found.append(FoundNote(self._leg.first + k, begin, end))
            step = self._steps[k][int(self._which[k][row])]
            if step.before == NONE:
                break
            row, end, k = int(step.begins[row]), int(step.ends[row]), step.before
        return found[::-1]


def _sums(evidence: NDArray[np.float32]) -> Floats:
    """Give the sums of evidence up to each look."""
    return np.concatenate([[0.0], np.cumsum(evidence, dtype=np.float64)])
