"""A first way through the take: which moment of the page each moment is.

The page is laid out in moments like the take.  From each moment of the page one goes to
the next, may stand still or hurry on at a cost, may stop, and after a stop begin again
at the start of any bar.

Conventions
-----------
Page moments are counted from the first note's due time.  PAUSE is the state in which
nothing of the page is played.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.alignment.alignment_settings import RoughSettings
from coach.rehearsal.hearing.alignment.look_evidence import LookEvidence
from coach.rehearsal.hearing.due_part import DuePart

Floats = NDArray[np.float32]
Places = NDArray[np.int64]

PAUSE = -1
BEGIN = 3
"""The way to a moment from PAUSE; other ways are how far it is from the one before."""

WAYS_IN_BYTE = 4


@dataclass(frozen=True, slots=True)
class RoughPath:
    """The way, moment by moment."""

    hop_s: float
    """From one moment to the next, of the take and of the page."""

    places: Places
    """Moment of the page at each moment of the take; PAUSE where none is played."""

    score: float
    """LookEvidence of the whole way."""


@dataclass(frozen=True, slots=True)
class _Page:
    """The page in moments."""

    keys: Places
    """Sounding key of each moment; PAUSE in a rest."""

    late: NDArray[np.bool_]
    """Where a note may be over: players cut notes short."""

    starts: NDArray[np.bool_]
    """Where players begin again."""


@dataclass(frozen=True, slots=True)
class _Emissions:
    """What each moment of the take says of each of the page, key by key."""

    by_key: Floats
    """For each key, for each where it may be over, and last for a rest, shape (moments
    of the take, 2 * keys + 1)."""

    columns: Places
    """Which of these each moment of the page asks for."""

    paused: Floats
    """For PAUSE, shape (moments of the take,)."""


class Ways:
    """How each moment of the page was come to, at each of the take: four in a byte.

    There are tens of millions in a long take.
    """

    def __init__(self, count: int, width: int) -> None:
        self._quarter = -(-width // WAYS_IN_BYTE)
        self._row = np.zeros(WAYS_IN_BYTE * self._quarter, dtype=np.uint8)
        self._four = self._row.reshape(WAYS_IN_BYTE, self._quarter)
        self._shifts = np.arange(0, 8, 2, dtype=np.uint8)[:, None]
        self._packed = np.zeros((count, self._quarter), dtype=np.uint8)

    @property
    def bytes_count(self) -> int:
        """How much memory they take."""
        return self._packed.nbytes

    def keep(self, t: int, way: NDArray[np.uint8]) -> None:
        """Keep the ways to all moments of the page at one of the take."""
        self._row[: len(way)] = way
        np.bitwise_or.reduce(self._four << self._shifts, axis=0, out=self._packed[t])

    def at(self, t: int, place: int) -> int:
        """Give the way to one of them."""
        which, at = divmod(place, self._quarter)
        return int(self._packed[t, at]) >> (2 * which) & BEGIN


def find_rough_path(
    evidence: LookEvidence,
    due: DuePart,
    first_moment_s: float | None,
    settings: RoughSettings,
) -> RoughPath:
    """Find the way through a whole take.

    Parameters
    ----------
    first_moment_s : float or None
        Where the take begins on the page, in seconds from its first note; None when
        nothing is known of that.

    Returns
    -------
    RoughPath
        The best way.

    Notes
    -----
    Dynamic programming: O(moments of the take * moments of the page).
    """
    length_s = float(due.notes[-1].written_end - due.notes[0].due)
    take_s = len(evidence.level_db) * evidence.hop_s
    finest = (take_s * length_s / settings.most_cells_count) ** 0.5
    ratio = max(1, round(max(settings.hop_s, finest) / evidence.hop_s))
    hop_s = ratio * evidence.hop_s
    page = _lay_page(due, hop_s, settings.sounding_share)
    says = _emissions(evidence, page, ratio, settings)
    home = None
    if first_moment_s is not None:
        home = first_moment_s / hop_s + np.arange(len(says.paused))
    return _walk(says, page, home, hop_s, settings)


def _lay_page(due: DuePart, hop_s: float, sounding_share: float) -> _Page:
    """Lay the page out in moments."""
    zero = float(due.notes[0].due)
    count = max(2, int(np.ceil((due.notes[-1].written_end - zero) / hop_s)))
    keys, late = np.full(count, PAUSE), np.zeros(count, dtype=bool)
    for note in due.notes:
        if not note.is_left_out:
            a = round((note.due - zero) / hop_s)
            b = max(a + 1, round((note.end - zero) / hop_s))
            keys[a:b] = note.midi
            late[a + max(1, round(sounding_share * (b - a))) : b] = True
    starts = np.zeros(count, dtype=bool)
    places = np.round((np.array(due.bar_starts) - zero) / hop_s).astype(int)
    starts[places[(places >= 0) & (places < count)]] = True
    starts[0] = True
    return _Page(keys, late, starts)


def _emissions(
    evidence: LookEvidence, page: _Page, ratio: int, settings: RoughSettings
) -> _Emissions:
    """Give what each moment of the take says of each moment of the page."""
    count = len(evidence.level_db) // ratio

    def coarse(fine: Floats) -> Floats:
        whole = fine[: count * ratio]
        return np.asarray(whole.reshape(count, ratio, *fine.shape[1:]).mean(axis=1))

    silent, voiced = coarse(evidence.silent), coarse(evidence.voiced)
    keys = sorted(set(page.keys.tolist()) - {PAUSE})
    width = len(keys)
    by_key = np.empty((count, 2 * width + 1), dtype=np.float32)
    for k, midi in enumerate(keys):
        sounds = voiced + coarse(evidence.for_key(midi, slice(None)))
        by_key[:, k] = np.maximum(sounds, silent - settings.shortened)
        by_key[:, width + k] = np.maximum(sounds, silent - settings.cut_short)
    by_key[:, -1] = np.maximum(silent, voiced - settings.held_on)
    column = np.searchsorted(keys, page.keys) + width * page.late
    columns = np.where(page.keys == PAUSE, 2 * width, column)
    paused = settings.weight * np.maximum(silent, voiced - settings.pause_noise)
    return _Emissions(settings.weight * by_key, columns, paused)


def _walk(
    says: _Emissions,
    page: _Page,
    home: NDArray[np.float64] | None,
    hop_s: float,
    settings: RoughSettings,
) -> RoughPath:
    """Find the best way, and read it back."""
    count, width = len(says.paused), len(says.columns)
    starts = np.flatnonzero(page.starts)
    place = np.arange(width)
    best = np.full(width, -np.inf, dtype=np.float32)
    pause = np.float32(0.0)
    ways = Ways(count, width)
    left = np.full(count, PAUSE)
    for t in range(count):
        stay = best - settings.slack
        on = np.concatenate([[-np.inf], best[:-1]])
        skip = np.concatenate([[-np.inf, -np.inf], best[:-2] - settings.slack])
        new = np.maximum(on, np.maximum(stay, skip))
        way = np.where(new == on, 1, np.where(new == stay, 0, 2)).astype(np.uint8)
        again = pause - (settings.begin_again if t else 0.0)
        begins = starts[again > new[starts]]
        new[begins], way[begins] = again, BEGIN
        if home is not None:
            away = np.abs(place - home[t]) * hop_s / settings.home_s
            new = new - np.minimum(away, settings.most_home)
        stopped = best.max() - settings.pause
        if stopped > pause:
            left[t] = int(best.argmax())
        pause = np.maximum(pause, stopped) + says.paused[t]
        best = (new + says.by_key[t, says.columns]).astype(np.float32)
        ways.keep(t, way)
    return _read_back(best, float(pause), ways, left, hop_s)


def _read_back(
    best: Floats,
    pause: float,
    ways: Ways,
    left: Places,
    hop_s: float,
) -> RoughPath:
    """Follow the way back from its end."""
    places = np.full(len(left), PAUSE)
    at = int(best.argmax()) if best.max() >= pause else PAUSE
    score = max(float(best.max()), pause)
    for t in range(len(left) - 1, -1, -1):
        places[t] = at
        if at == PAUSE:
            at = int(left[t])
        else:
            way = ways.at(t, at)
            at = PAUSE if way == BEGIN else at - way
    return RoughPath(hop_s, places, score)
