"""What begins a run by itself, with both hands on the horn: a held note, or two knocks.

A practice room is full of sound: a teacher speaks, a chair is moved, another horn
plays.  So what begins a run comes out of quiet, and is like nothing else: one pitch
that stays, or two short strokes that are alike, and quiet again.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.features.feature_settings import FeatureSettings
from coach.rehearsal.hearing.features.features import FeatureTaker
from coach.rehearsal.hearing.following.following_settings import (
    SoundingSettings,
    StartSoundSettings,
)
from coach.rehearsal.hearing.following.recent_looks import RecentLooks
from coach.rehearsal.hearing.following.told import StartWish

KNOCKS = ("first", "second")
"""So many knocks begin a run."""


class StartEar:
    """Listens to a room until a run is to begin."""

    def __init__(
        self,
        wish: StartWish,
        rate_hz: float,
        features: FeatureSettings,
        sounding: SoundingSettings,
        settings: StartSoundSettings,
    ) -> None:
        self._wish, self._rate_hz = wish, rate_hz
        self._features, self._settings = features, settings
        self._taker = self._fresh_taker()
        self._looks = RecentLooks(
            self._taker.grid, range(wish.lowest, wish.highest + 1), sounding
        )
        self._hop_s = self._taker.hop_s
        self._counts_from = settings.floor_s
        self._taken_s = 0.0

    def push(self, samples: NDArray[np.float32]) -> bool:
        """Hear one block; tell whether a run is to begin."""
        self._taken_s += len(samples) / self._rate_hz
        self._looks.add(self._taker.push(samples), 0.0)
        if self._taken_s >= self._settings.renewed_s:
            self._taker, self._taken_s = self._fresh_taker(), 0.0
        return self._is_note() if self._wish.by == "note" else self._are_knocks()

    def pass_over(self) -> None:
        """Let nothing count that is heard just now."""
        self._counts_from = self._looks.now + self._settings.key_s

    def _fresh_taker(self) -> FeatureTaker:
        """Look anew: what was seen long ago is not kept."""
        wish = self._wish
        return FeatureTaker(self._rate_hz, wish.lowest, wish.highest, self._features)

    def _is_note(self) -> bool:
        """Tell whether one note has been held long enough, out of quiet."""
        settings, looks = self._settings, self._looks
        begin = looks.now - settings.held_s
        before = looks.levels_db(begin - settings.quiet_s)
        early = round(settings.quiet_s / self._hop_s)
        if begin - settings.quiet_s < self._counts_from:
            return False
        quiet, held = before[:early], before[early:]
        loud = float(np.median(held))
        rise = round(settings.knock_rise_s / self._hop_s)
        # A microphone that gates noise gives no room to learn the floor of.
        floor_db = min(looks.floor_db, float(np.median(quiet)))
        return (
            loud >= floor_db + settings.over_floor_db
            and float(held[rise:].min()) >= loud - settings.quiet_db
            and float(quiet[:-rise].max()) <= loud - settings.quiet_db
            and looks.is_steady(begin, settings.held_s * settings.steady_share)
        )

    def _are_knocks(self) -> bool:
        """Tell whether there were two knocks, with quiet before and after."""
        settings, looks = self._settings, self._looks
        longest = settings.apart_most_s + settings.knock_s + 2 * settings.quiet_s
        begin = max(self._counts_from, looks.now - longest)
        level = looks.levels_db(begin)
        if not len(level):
            return False
        loud = max(
            float(level.max()) - settings.quiet_db,
            looks.floor_db + settings.over_floor_db,
        )
        strokes = self._strokes(level >= loud)
        if len(strokes) != len(KNOCKS):
            return False
        (first, end), (second, last) = strokes
        apart = (second - first) * self._hop_s
        quiet = round(settings.quiet_s / self._hop_s)
        return (
            settings.apart_least_s <= apart <= settings.apart_most_s
            and first >= quiet
            and len(level) - last >= quiet
            and all(self._is_knock(level, begin, a, b) for a, b in strokes)
            and abs(float(level[first:end].max() - level[second:last].max()))
            <= settings.alike_db
        )

    def _strokes(self, is_loud: NDArray[np.bool_]) -> list[tuple[int, int]]:
        """List what is loud, from look to look; the ring of a stroke belongs to it."""
        edges = np.flatnonzero(np.diff(np.concatenate([[False], is_loud, [False]])))
        longest = self._settings.knock_s / self._hop_s
        strokes: list[tuple[int, int]] = []
        for begin, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
            if strokes and begin - strokes[-1][0] <= longest:
                strokes[-1] = (strokes[-1][0], end)
            else:
                strokes.append((begin, end))
        return strokes

    def _is_knock(
        self, level: NDArray[np.float32], begin: float, first: int, end: int
    ) -> bool:
        """Tell whether what is loud from one look to another is a stroke."""
        settings = self._settings
        at = begin + first * self._hop_s
        return bool(
            (end - first) * self._hop_s <= settings.knock_s
            and level[first:end].argmax() * self._hop_s <= settings.knock_rise_s
            and self._looks.best_fit(at, at + (end - first) * self._hop_s)
            <= settings.most_fit
        )
