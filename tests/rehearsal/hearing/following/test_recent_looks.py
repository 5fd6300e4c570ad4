"""The last seconds of a sound, from looks made by hand."""

from __future__ import annotations

import numpy as np
import pytest

from coach.edges.hearing.hearing_numbers import read_following_settings
from coach.rehearsal.hearing.following.recent_looks import RecentLooks
from tests.hearing_room.looks import FIT, LOUD_DB, ROOM_DB, grid_of, lots

GRID = grid_of(53, 65)
KEY = 58
BLIP = (120, 122)
"""Two looks, a hundredth of a second, in the middle of a silence."""


@pytest.fixture
def looks() -> RecentLooks:
    """A note, half a second of silence with a blip in it, and a note again."""
    sounds = np.zeros(300, dtype=bool)
    sounds[20:100] = sounds[200:300] = sounds[slice(*BLIP)] = True
    is_key = np.abs(GRID.pitches - KEY) < 0.1
    salience = np.where(sounds[:, None] & is_key, FIT, 0.0).astype(np.float16)
    level = np.where(sounds, LOUD_DB, ROOM_DB).astype(np.float32)
    seen = RecentLooks(GRID, [KEY], read_following_settings().sounding)
    seen.add(list(lots(salience, level, np.zeros(300, dtype=np.float32))), 0.0)
    return seen


def test_a_blip_ends_no_silence(looks: RecentLooks) -> None:
    (silence,) = looks.silences(60 * GRID.hop_s, 3 * GRID.hop_s)
    assert silence.begin == pytest.approx(100 * GRID.hop_s)
    assert silence.end == pytest.approx(200 * GRID.hop_s)
    assert silence.is_over


def test_what_is_longer_than_a_blip_does(looks: RecentLooks) -> None:
    before, after = looks.silences(60 * GRID.hop_s, 0.0)
    assert before.end == pytest.approx(BLIP[0] * GRID.hop_s)
    assert after.begin == pytest.approx(BLIP[1] * GRID.hop_s)


def test_a_key_is_named_only_where_one_sounds(looks: RecentLooks) -> None:
    assert looks.clearest(30 * GRID.hop_s, 60 * GRID.hop_s, FIT / 2) == KEY
    assert looks.clearest(130 * GRID.hop_s, 160 * GRID.hop_s, FIT / 2) is None
    assert looks.clearest(9.0, 9.1, FIT / 2) is None, "nothing is seen yet"


@pytest.mark.parametrize(("before", "floor_db"), [(200, ROOM_DB), (0, -100.0)])
def test_what_gives_nothing_between_notes_is_the_room_but_not_before_it_runs(
    before: int, floor_db: float
) -> None:
    """A device that only starts late leaves the room's own noise as it is."""
    level = np.full(400, -120.0, dtype=np.float32)
    level[before : before + 100] = LOUD_DB
    if before:
        level[before + 100 :] = ROOM_DB
    nothing = np.zeros(400, dtype=np.float32)
    salience = np.zeros((400, len(GRID.pitches)), dtype=np.float16)
    seen = RecentLooks(GRID, [KEY], read_following_settings().sounding)
    seen.add(list(lots(salience, level, nothing)), 0.0)
    assert seen.floor_db == pytest.approx(floor_db, abs=1.0)
