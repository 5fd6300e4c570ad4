"""The last seconds of a sound, look by look: does a note sound, and which key fits.

Looks come while the sound is recorded, so nothing here knows what comes next.

Conventions
-----------
Times are run time in seconds; levels are decibels of full scale.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.features.features import Floats, LookGrid, Row
from coach.rehearsal.hearing.following.following_settings import SoundingSettings

SEMITONE_CENTS = 100.0
LOUDEST_DB = 10
"""No look is louder than this: a full square wave lies below it."""

LOUD_PERCENT = 75.0
"""A note is as loud as its loudest quarter, however long the room rings after it."""


@dataclass(frozen=True, slots=True)
class Silence:
    """A stretch in which no note sounds, or only the ring of one."""

    begin: float
    """When it begins."""

    end: float
    """When it ends, as far as is known."""

    is_over: bool
    """Something has sounded after it."""

    @property
    def length(self) -> float:
        """How long it is."""
        return self.end - self.begin


class RecentLooks:
    """Keeps what was seen last, and how loud the room is by itself."""

    def __init__(
        self, grid: LookGrid, keys: Sequence[int], settings: SoundingSettings
    ) -> None:
        self._settings = settings
        self._hop_s = grid.hop_s
        self._first_key = min(keys) - 1
        self._columns = [
            np.flatnonzero(
                np.abs(grid.pitches - key) <= settings.key_cents / SEMITONE_CENTS
            )
            for key in range(self._first_key, max(keys) + 2)
        ]
        self._most = round(settings.kept_s / grid.hop_s)
        self._back = round(settings.dip_window_s / grid.hop_s)
        self._room = np.zeros(LOUDEST_DB - int(settings.softest_db) + 1, dtype=int)
        self._gone = 0
        self._began = 0.0
        self.floor_db = settings.softest_db
        """Level of the room's noise, as far as is known."""
        self._last_sound: float | None = None
        self._sounding = np.zeros(0, dtype=bool)
        self._level = np.zeros(0, dtype=np.float32)
        self._fits = np.zeros((0, len(self._columns)), dtype=np.float32)

    @property
    def now(self) -> float:
        """Give the moment after the last look."""
        return self._began + (self._gone + len(self._level)) * self._hop_s

    def add(self, rows: Sequence[Row], began: float) -> None:
        """Add looks; `began` is the run time of the very first."""
        self._began = began
        for rough, level, _, fresh, *_ in rows:
            self._learn_room(level)
            salience = rough.astype(np.float32)
            fits = np.stack(
                [salience[:, columns].max(axis=1) for columns in self._columns], axis=1
            )
            self._fits = np.concatenate([self._fits, fits])[-self._most :]
            total = len(self._level) + len(level)
            self._level = np.concatenate([self._level, level])[-self._most :]
            self._gone += total - len(self._level)
            sounding = (
                (level >= self.floor_db + self._settings.over_floor_db)
                & (level >= self._loudest(len(level)) - self._settings.dip_db)
                & (fresh >= self._settings.fresh_db)
                & (salience.max(axis=1) >= self._settings.comb_fit)
            )
            self._sounding = np.concatenate([self._sounding, sounding])[-self._most :]
            self._note_sound(len(sounding))

    def _learn_room(self, level: Floats) -> None:
        """Learn how loud the room is by itself: the softest of all looks so far.

        A device may give nothing before it runs; what gates noise gives nothing
        between notes, and then that is the room.
        """
        softest = self._settings.softest_db
        if not self._room.any():
            level = level[np.maximum.accumulate(level > softest)]
        steps = np.maximum(level - softest, 0.0)
        self._room += np.bincount(
            np.minimum(steps.astype(int), LOUDEST_DB - int(softest)),
            minlength=len(self._room),
        )
        known = np.cumsum(self._room)
        if known[-1]:
            least = known[-1] * self._settings.floor_percent / 100.0
            self.floor_db = softest + float(np.searchsorted(known, least))

    def _note_sound(self, count: int) -> None:
        """Keep when a note sounded last, of those that end in the last looks."""
        width = round(self._settings.note_s / self._hop_s)
        recent = self._sounding[-(count + width - 1) :].astype(int)
        if len(recent) < width:
            return
        runs = np.convolve(recent, np.ones(width, dtype=int), "valid")
        full = np.flatnonzero(runs == width)
        if len(full):
            place = len(self._sounding) - len(recent) + int(full[-1]) + width
            self._last_sound = self._time(place)

    @property
    def last_sound(self) -> float | None:
        """Tell when a note sounded last, blips left out; None for never."""
        return self._last_sound

    def silences(self, begin: float, blip_s: float) -> Iterator[Silence]:
        """List stretches with no note from a moment on, short blips left out."""
        first = self._index(begin)
        yield from self._stretches(first, self._sounding[first:], blip_s)

    def sinkings(
        self, begin: float, under_db: float, blip_s: float, rise_db: float
    ) -> Iterator[Silence]:
        """List stretches softer than a level, each until it rises out of its lowest."""
        first = self._index(begin)
        is_loud = self._level[first:] >= under_db
        for stretch in self._stretches(first, is_loud, blip_s):
            a, b = self._index(stretch.begin), self._index(stretch.end)
            lowest = a + int(self._level[a:b].argmin())
            risen = self._level[lowest:] >= self._level[lowest] + rise_db
            is_over = bool(risen.any())
            end = self._time(lowest + int(risen.argmax())) if is_over else stretch.end
            yield Silence(stretch.begin, end, is_over)

    def _stretches(
        self, first: int, sounding: NDArray[np.bool_], blip_s: float
    ) -> Iterator[Silence]:
        """List stretches of the looks from one on that do not sound."""
        edges = np.flatnonzero(np.diff(np.concatenate([[True], sounding, [True]])))
        spans: list[tuple[int, int]] = []
        for a, b in zip(edges[::2], edges[1::2], strict=True):
            if spans and (a - spans[-1][1]) * self._hop_s < blip_s:
                spans[-1] = (spans[-1][0], int(b))
            else:
                spans.append((int(a), int(b)))
        for a, b in spans:
            is_over = b < len(sounding)
            yield Silence(self._time(first + a), self._time(first + b), is_over)

    def sounding_share(self, begin: float, end: float) -> float:
        """Tell how much of a stretch sounds like a note."""
        span = self._sounding[self._index(begin) : self._index(end)]
        return float(span.mean()) if len(span) else 0.0

    def level_db(self, begin: float, end: float) -> float:
        """Give the middle level of a stretch; that of the room where there is none."""
        span = self._level[self._index(begin) : self._index(end)]
        return float(np.median(span)) if len(span) else self.floor_db

    def loud_db(self, begin: float, end: float) -> float:
        """Give the level of a stretch's loudest quarter; else the room's."""
        span = self._level[self._index(begin) : self._index(end)]
        return float(np.percentile(span, LOUD_PERCENT)) if len(span) else self.floor_db

    def levels_db(self, begin: float) -> Floats:
        """Give the level of every look from a moment on."""
        return self._level[self._index(begin) :]

    def lowest_db(self, begin: float, end: float) -> float:
        """Give the lowest level of a stretch."""
        span = self._level[self._index(begin) : self._index(end)]
        return float(span.min()) if len(span) else self.floor_db

    def is_key(self, key: int, begin: float, end: float, slack: float) -> bool:
        """Tell whether a key fits a stretch as well as any other, or nearly."""
        span = self._fits[self._index(begin) : self._index(end)]
        if not len(span):
            return False
        mean = span.mean(axis=0)
        mine = mean[key - self._first_key]
        return bool(mine >= self._settings.comb_fit and mine >= mean.max() - slack)

    def clearest(self, begin: float, end: float, least_fit: float) -> int | None:
        """Name the key that fits a stretch best; None where none does so well."""
        span = self._fits[self._index(begin) : self._index(end)]
        if not len(span):
            return None
        mean = span.mean(axis=0)
        best = int(mean.argmax())
        return best + self._first_key if mean[best] >= least_fit else None

    def best_fit(self, begin: float, end: float) -> float:
        """Tell how well a stretch fits the key that it fits best."""
        span = self._fits[self._index(begin) : self._index(end)]
        return float(span.mean(axis=0).max())

    def is_steady(self, begin: float, step_s: float) -> bool:
        """Tell whether one key fits best from a moment on, step by step."""
        span = self._fits[self._index(begin) :]
        count = max(1, round(step_s / self._hop_s))
        means = [
            span[k : k + count].mean(axis=0)
            for k in range(0, len(span) - count + 1, count)
        ]
        best = {int(mean.argmax()) for mean in means}
        return (
            len(best) == 1
            and min(float(mean.max()) for mean in means) >= self._settings.comb_fit
        )

    def match_share(
        self, keys: Sequence[int], times: Sequence[float], slack: float
    ) -> float:
        """Tell in how many of some moments a note sounds whose key fits best."""
        rows = [min(self._index(time), len(self._level) - 1) for time in times]
        fits = self._fits[rows]
        mine = fits[np.arange(len(rows)), np.asarray(keys) - self._first_key]
        is_best = mine >= fits.max(axis=1) - slack
        return float((is_best & self._sounding[rows]).mean())

    def turn(self, before: int, after: int, begin: float, end: float) -> float | None:
        """Tell when one key gives way to another; None where it does not."""
        first = self._index(begin)
        span = self._fits[first : self._index(end)]
        if not len(span):
            return None
        more = span[:, after - self._first_key] - span[:, before - self._first_key]
        sums = np.cumsum(more)
        k = int(sums.argmin())
        if sums[k] >= 0 or k + 1 >= len(sums) or sums[-1] <= sums[k]:
            return None
        return self._time(first + k + 1)

    def _loudest(self, count: int) -> NDArray[np.float32]:
        """Give for each of the last looks the loudest of those shortly before it."""
        padded = np.concatenate(
            [np.full(self._back, -np.inf, dtype=np.float32), self._level]
        )[-count - self._back :]
        windows = np.lib.stride_tricks.sliding_window_view(padded, self._back + 1)
        return np.asarray(windows.max(axis=1))

    def _index(self, time: float) -> int:
        """Give the look at a moment, among those that are kept."""
        k = round((time - self._began) / self._hop_s) - self._gone
        return min(max(0, k), len(self._level))

    def _time(self, index: int) -> float:
        """Give the moment of a look."""
        return self._began + (self._gone + index) * self._hop_s
