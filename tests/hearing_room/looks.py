"""Looks at a performance, made by hand: what an ear would see, with no sound made."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from coach.edges.hearing.hearing_numbers import read_hearing_settings
from coach.rehearsal.hearing.alignment.look_evidence import LookEvidence
from coach.rehearsal.hearing.features.features import LookGrid, Row
from tests.hearing_room.players import Played

LOT = 10
"""Looks that come at once."""

LOUD_DB, ROOM_DB = -20.0, -60.0
RINGS_S = 0.02
"""A note that stopped longer ago than this only rings."""

FIT = 0.8
HALF_STEP = 0.1
"""Half of what lies between two pitches that are looked for, in keys."""


def grid_of(lowest: int, highest: int) -> LookGrid:
    """Lay out looks as the ear does, for keys about those of a page."""
    pitches = np.arange(lowest - 7.0, highest + 7.0, 2 * HALF_STEP, dtype=np.float32)
    return LookGrid(0.005, pitches)


@dataclass(frozen=True, slots=True)
class RoomSeen:
    """How a room rings, as an ear sees it."""

    ring_db_per_s: float = 200.0
    """How fast a note that stopped sinks."""

    ring_fresh_db: float = -20.0
    """How much of that seems to be new, in decibels."""


USUAL_SEEN = RoomSeen()


def looks_of(
    played: Played,
    grid: LookGrid,
    since: float,
    until: float,
    room: RoomSeen = USUAL_SEEN,
) -> list[Row]:
    """Make all looks from one run time to another, a few at once."""
    count = round((until - since) / grid.hop_s)
    salience = np.zeros((count, len(grid.pitches)), dtype=np.float16)
    level = np.full(count, ROOM_DB, dtype=np.float32)
    fresh = np.zeros(count, dtype=np.float32)
    times = since + np.arange(count) * grid.hop_s
    for note in played.notes:
        silent_s = np.maximum(times - note.off, 0.0)
        loud = LOUD_DB + note.level_db - room.ring_db_per_s * silent_s
        is_heard = (times >= note.on) & (loud > ROOM_DB)
        fits = np.abs(grid.pitches - note.midi) <= HALF_STEP
        salience[is_heard] = np.where(fits, FIT, 0.0)
        level[is_heard] = loud[is_heard]
        fresh[is_heard] = np.where(
            silent_s[is_heard] > RINGS_S, room.ring_fresh_db, 0.0
        )
    return list(lots(salience, level, fresh))


def noise_rows(grid: LookGrid, level_db: float, seconds: float) -> list[Row]:
    """Make looks at something that has no pitch."""
    count = round(seconds / grid.hop_s)
    salience = np.zeros((count, len(grid.pitches)), dtype=np.float16)
    level = np.full(count, level_db, dtype=np.float32)
    return list(lots(salience, level, np.zeros(count, dtype=np.float32)))


def lots(
    salience: np.ndarray[tuple[int, int], np.dtype[np.float16]],
    level: np.ndarray[tuple[int], np.dtype[np.float32]],
    fresh: np.ndarray[tuple[int], np.dtype[np.float32]],
) -> Iterator[Row]:
    """Deal looks out as they come."""
    for k in range(0, len(level), LOT):
        part = slice(k, k + LOT)
        rest = np.zeros_like(level[part])
        none = np.zeros((len(rest), 0), dtype=np.float16)
        yield salience[part], level[part], rest, fresh[part], rest, none


def evidence_of(
    first_midi: int,
    fits: np.ndarray[tuple[int, int], np.dtype[np.float64]],
    level_db: float = -20.0,
    floor_db: float = -80.0,
) -> LookEvidence:
    """Give what looks say that fit keys so well: notes, as loud as each other."""
    none = np.zeros(len(fits), dtype=np.float32)
    return LookEvidence(
        hop_s=0.005,
        first_midi=first_midi,
        fits=fits.astype(np.float16),
        raised=np.ones(fits.shape[1], dtype=np.float32),
        any_key=none,
        clearest=fits.argmax(axis=1).astype(np.int16),
        best_fit=fits.max(axis=1).astype(np.float32),
        voiced=none + 1,
        silent=none,
        is_sound=none == 0,
        begins=none,
        dips=none,
        level_db=none + np.float32(level_db),
        floor_db=floor_db,
        tuning_cents=0.0,
        settings=read_hearing_settings().evidence,
    )
