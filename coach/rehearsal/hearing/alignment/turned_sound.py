"""When one note's sound gives way to the next one's, told by their whole spectra.

About a change of pitch each look is a sum of what the notes sound like alone: the one
that begins, the one before, the one before that, which may ring on, and the room.  The
shares of that sum are found by least squares; that of the note that begins tells when
it has come, however loudly the others ring.

Conventions
-----------
Times are seconds from the take's first sample.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.alignment.fine_onsets import FoundNote
from coach.rehearsal.hearing.alignment.moment_settings import TurnSettings
from coach.rehearsal.hearing.features.features import Features

Floats = NDArray[np.float64]

QUIET_LOOKS = 60
"""The room alone sounds like the softest so many looks."""

NOTHING = 1e-6
"""What keeps the least squares solvable where two sounds are alike."""


class TurnedSound:
    """Tells when notes of a take have come."""

    def __init__(self, features: Features, settings: TurnSettings) -> None:
        self._looks, self._hop_s = features.magnitudes, features.hop_s
        self._settings = settings
        softest = np.argsort(features.level_db)[:QUIET_LOOKS]
        self._room = self._looks[softest].astype(np.float64).mean(axis=0)
        self._known: dict[tuple[tuple[FoundNote, ...], tuple[int, ...]], float] = {}

    def at(self, found: Sequence[FoundNote], keys: Sequence[int], k: int) -> float:
        """Tell when a note has come that follows another of another key.

        Parameters
        ----------
        found : sequence of FoundNote
            Notes in order.
        keys : sequence of int
            Key at which each was heard.
        k : int
            Which of them, from 1 on.

        Returns
        -------
        float
            When it sounds at its share; its look's own time where that is not told.
        """
        near = slice(max(0, k - 2), k + 1)
        about = tuple(found[near]), tuple(keys[near])
        if about not in self._known:
            self._known[about] = self._turn(found, keys, k)
        return self._known[about]

    def _turn(self, found: Sequence[FoundNote], keys: Sequence[int], k: int) -> float:
        """Find when a note has come, among those that may sound with it."""
        settings, note = self._settings, found[k]
        reach = round(settings.reach_s / self._hop_s)
        first = max(0, note.begin - reach)
        looks = self._looks[first : note.begin + reach].astype(np.float64)
        sounds = np.stack([*self._sounds(found, keys, k), self._room])
        alike = sounds @ sounds.T
        # Of digital silence all is nothing, and nothing has to be solvable too.
        alike += (NOTHING * np.trace(alike) or 1.0) * np.eye(len(sounds))
        shares = np.linalg.solve(alike, sounds @ looks.T)[0]
        place = self._risen(shares, max(0, note.begin - first - self._early))
        return (first + (note.begin - first if place is None else place)) * self._hop_s

    @property
    def _early(self) -> int:
        """How many looks before its own a note may have come."""
        return round(self._settings.early_s / self._hop_s)

    def _sounds(
        self, found: Sequence[FoundNote], keys: Sequence[int], k: int
    ) -> list[Floats]:
        """Give what a note and those before it sound like, each by itself."""
        sounds = [self._sound(found[k], found[k].end)]
        sounds.append(self._sound(found[k - 1], min(found[k - 1].end, found[k].begin)))
        if k > 1 and keys[k - 2] not in (keys[k - 1], keys[k]):
            older = found[k - 2]
            sounds.append(self._sound(older, min(older.end, found[k - 1].begin)))
        return sounds

    def _sound(self, note: FoundNote, end: int) -> Floats:
        """Give what the middle of a note sounds like."""
        settings = self._settings
        length = max(end - note.begin, round(settings.least_s / self._hop_s))
        most = len(self._looks) - 1
        a = min(most, note.begin + max(1, round(settings.from_share * length)))
        b = max(a + 1, note.begin + round(settings.to_share * length))
        return np.asarray(self._looks[a:b].astype(np.float64).mean(axis=0))

    def _risen(self, shares: Floats, first: int) -> float | None:
        """Find where a share has risen, before it is there; None where it does not."""
        settings = self._settings
        there = np.flatnonzero(shares[first:] >= settings.there_share)
        end = first + int(there[0]) if len(there) else int(shares.argmax())
        below = np.flatnonzero(shares[:end] < settings.come_share)
        if not len(below) or shares[end] < settings.come_share:
            return None
        k = int(below[-1])
        return k + float(
            (settings.come_share - shares[k]) / (shares[k + 1] - shares[k])
        )
