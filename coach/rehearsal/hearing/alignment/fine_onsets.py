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

KEPT_SUMS = 16
"""Sums of so many notes are held at a time: those of a long take fill the memory."""

HELD_ON_S = 5.0
"""The last note of a leg is held no more than so much longer than written."""


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

    begins: NDArray[np.int16]
    """For each look of the window, that note's look in its own window."""


class FineWalk:
    """The walk through one leg."""

    def __init__(
        self, evidence: LookEvidence, due: DuePart, leg: Leg, settings: FineSettings
    ) -> None:
        self._evidence, self._settings = evidence, settings
        self._notes = due.notes[leg.first : leg.last + 1]
        self._leg = leg
        before = min(round(leg.earliest / evidence.hop_s), len(evidence.silent))
        silent = np.concatenate(
            [np.zeros(before, np.float32), evidence.silent[before:]]
        )
        self._silent = _sums(silent)
        self._sums: dict[int, Floats] = {}
        self._held_on = round(HELD_ON_S / evidence.hop_s)
        latest = min(leg.end + settings.reach_s, leg.latest)
        self._limit = min(len(evidence.level_db), round(latest / evidence.hop_s))
        self._least = max(1, round(settings.least_note_s / evidence.hop_s))
        self._centres = np.array(leg.begins) / evidence.hop_s
        self._windows = [self._window(k) for k in range(len(self._notes))]
        self._best: list[Floats] = []
        self._steps: list[list[_Step]] = []
        self._which: list[NDArray[np.int8]] = []

    def find(self) -> list[FoundNote]:
        """Find the notes."""
        for k, window in enumerate(self._windows):
            looks = window.first + np.arange(len(window.gains))
            scores = [self._silent[looks] - self._settings.unplayed * k]
            steps = [_Step(NONE, np.zeros(0, np.int16))]
            for j in self._before(k):
                score, step = self._reach(j, k)
                scores.append(score - self._skipped(j + 1, k))
                steps.append(step)
            table = np.stack(scores)
            which = table.argmax(axis=0).astype(np.int8)
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
        """Give the sums of the evidence for a note, from its window's first look on.

        It is sounded as written, or wrong: a look at a pitch that is none of the notes
        around it may be this one.
        """
        if k not in self._sums:
            if len(self._sums) >= KEPT_SUMS:
                self._sums.clear()
            evidence = self._evidence
            span = slice(self._windows[k].first, self._latest(k))
            own = evidence.for_key(self._notes[k].midi, span)
            other = np.where(evidence.is_sound[span], self._settings.wrong, -np.inf)
            for note in self._notes[max(0, k - 1) : k + 2]:
                is_note = evidence.clearest[span] == note.midi - evidence.first_midi
                other[is_note] = -np.inf
            self._sums[k] = _sums(evidence.voiced[span] + np.maximum(own, other))
        return self._sums[k]

    def _latest(self, k: int) -> int:
        """Tell by which look a note is over, or the note after it has begun."""
        held = (self._notes[k].written_end - self._notes[k].due) / self._evidence.hop_s
        window = self._windows[k]
        alone = window.first + len(window.gains) + round(held) + self._held_on
        after = max(self._after(k), default=k)
        following = self._windows[after].first + len(self._windows[after].gains)
        return max(following, min(alone, self._limit))

    def _after(self, k: int) -> Iterator[int]:
        """Name the notes that may come right after a note."""
        for j in range(k + 1, len(self._notes)):
            if self._skipped(k + 1, j) >= NEVER:
                return
            yield j

    def _reach(self, j: int, k: int) -> tuple[Floats, _Step]:
        """Weigh all ways from one note to a later one.

        A way is a place where the first begins, one where it stops, and one where the
        second begins.  Weights are small beside their sums, so that half the digits do.
        """
        hop, settings = self._evidence.hop_s, self._settings
        here, there = self._windows[j], self._windows[k]
        count, width = len(here.gains), len(there.gains)
        column = there.first - here.first
        first = max(0, -column)
        length = column + width
        silent = self._silent[here.first : here.first + length]
        silent = silent - silent[0]
        sums = self._sums_of(j)[:length]
        surplus = (sums - silent).astype(np.float32)
        until = np.where(_later(count, length, self._least), surplus, -np.inf)
        np.maximum.accumulate(until, axis=1, out=until)
        nexts = slice(column + first, length)
        score = until[:, nexts]
        gap = 0.0 if self._has_gap(j, k) else settings.gap
        score += (silent[nexts] - gap).astype(np.float32)
        np.maximum(score, sums[nexts].astype(np.float32), out=score)
        apart = np.arange(column + first - count + 1, length)
        due = self._centres[k] - self._centres[j]
        cost = np.abs(apart - due) * (hop / settings.apart_s)
        cost[apart < self._least] = np.inf
        windows = np.lib.stride_tricks.sliding_window_view(
            cost.astype(np.float32), width - first
        )
        score -= windows[::-1]
        best, height = self._best[j], float(self._best[j].max())
        score += (best - height - sums[:count]).astype(np.float32)[:, None]
        which = score.argmax(axis=0)
        reached = np.full(width, -np.inf)
        reached[first:] = height + score[which, np.arange(width - first)]
        begins = np.zeros(width, np.int16)
        begins[first:] = which
        return reached, _Step(j, begins)

    def _has_gap(self, j: int, k: int) -> bool:
        """Tell whether silence is due between two notes."""
        note, following = self._notes[j], self._notes[k]
        is_cut = note.end < note.written_end
        return is_cut or following.due > note.written_end + self._evidence.hop_s

    def _surplus(self, k: int, first: int, end: int) -> Floats:
        """Give how much more a note says than silence, from one look to another."""
        begin = self._windows[k].first
        sums = self._sums_of(k)[first - begin : end + 1 - begin]
        return sums - self._silent[first : first + len(sums)]

    def _stops(self, j: int, begin: int, following: int) -> int:
        """Find the look at which a note stops before the next begins."""
        first = min(begin + self._least, following)
        return first + int(self._surplus(j, first, following).argmax())

    def _read_back(self) -> list[FoundNote]:
        """Follow the best way back from the leg's end."""
        best: tuple[float, int, int, int] = (-np.inf, NONE, 0, 0)
        for k, window in enumerate(self._windows):
            count = len(window.gains)
            surplus = self._surplus(k, window.first, max(self._limit, window.first))
            until = np.maximum.accumulate(surplus[::-1])[::-1]
            places = np.minimum(np.arange(count) + self._least, len(surplus) - 1)
            total = self._best[k] - self._sums_of(k)[:count] + until[places]
            total -= self._settings.unplayed * (len(self._notes) - 1 - k)
            row = int(total.argmax())
            if total[row] > best[0]:
                end = places[row] + int(surplus[places[row] :].argmax())
                best = (float(total[row]), k, row, window.first + end)
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


def _sums(evidence: NDArray[np.floating]) -> Floats:
    """Give the sums of evidence up to each look."""
    return np.concatenate([[0.0], np.cumsum(evidence, dtype=np.float64)])


def _later(count: int, length: int, least: int) -> NDArray[np.bool_]:
    """Tell which looks lie far enough after each of the first ones."""
    return np.asarray(np.arange(length) >= np.arange(count)[:, None] + least)
