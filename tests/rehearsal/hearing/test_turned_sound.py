"""When one note's sound gives way to the next one's, by spectra written by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from coach.edges.hearing.hearing_numbers import read_hearing_settings
from coach.rehearsal.hearing.alignment.fine_onsets import FoundNote
from coach.rehearsal.hearing.alignment.turned_sound import TurnedSound
from coach.rehearsal.hearing.features.features import Features, FeatureTaker

SETTINGS = read_hearing_settings()
HOP_S = 0.005
OLD = np.array([1.0, 0.0, 0.6, 0.0, 0.3, 0.0])
NEW = np.array([0.0, 1.0, 0.0, 0.5, 0.3, 0.0])
OLDER = np.array([0.0, 0.0, 0.0, 0.0, 0.4, 1.0])
ROOM = np.full(6, 0.01)
ENDED = 100


def looks_of(magnitudes: np.ndarray) -> Features:
    """Make looks that show nothing but spectra; the first sixty are the room's."""
    taker = FeatureTaker(11_025.0, 50, 60, SETTINGS.features)
    taker.push(np.zeros(11_025, dtype=np.float32))
    level = np.where(magnitudes.max(axis=1) > 0.1, -20.0, -60.0)
    return replace(
        taker.finish(),
        hop_s=HOP_S,
        level_db=level.astype(np.float32),
        magnitudes=magnitudes.astype(np.float16),
    )


def change_at(come: int, ring: float = 0.0, slow: int = 1) -> np.ndarray:
    """Let one sound give way to another at a look; the old one rings on and on."""
    place = np.arange(220)[:, None]
    rise = np.clip((place - come + slow) / slow, 0.0, 1.0)
    fall = np.where(place < come, 1.0, ring)
    sounds = np.where(place >= 60, fall * OLD + rise * NEW, 0.0)
    sounds[180:] = 0.0
    return np.asarray(sounds + ROOM)


def turn(magnitudes: np.ndarray, begin: int, keys: tuple[int, ...] = (55, 57)) -> float:
    found = [FoundNote(0, 60, begin), FoundNote(1, begin, 180)]
    turned = TurnedSound(looks_of(magnitudes), SETTINGS.turn)
    return turned.at(found, keys, 1) / HOP_S


@pytest.mark.parametrize("ring", [0.0, 0.5])
@pytest.mark.parametrize("begin", [ENDED - 5, ENDED, ENDED + 4])
def test_a_note_comes_where_it_comes_however_the_one_before_rings(
    ring: float, begin: int
) -> None:
    assert turn(change_at(ENDED, ring), begin) == pytest.approx(ENDED - 1, abs=1.0)


def test_a_slow_note_has_come_at_its_share() -> None:
    at = turn(change_at(ENDED, slow=10), ENDED)
    come = SETTINGS.turn.come_share * 10 + ENDED - 10
    assert at == pytest.approx(come, abs=0.7)


def test_a_note_before_the_one_before_may_ring_on() -> None:
    magnitudes = change_at(ENDED)
    magnitudes[20:] += 0.5 * OLDER
    magnitudes[20:60] += OLDER
    found = [FoundNote(0, 20, 60), FoundNote(1, 60, ENDED), FoundNote(2, ENDED, 180)]
    turned = TurnedSound(looks_of(magnitudes), SETTINGS.turn)
    at = turned.at(found, (53, 55, 57), 2) / HOP_S
    assert at == pytest.approx(ENDED - 1, abs=1.0)
    assert turned.at(found, (57, 55, 57), 2) / HOP_S == pytest.approx(at, abs=1.5)


def test_where_nothing_changes_the_look_tells() -> None:
    magnitudes = np.where(np.arange(220)[:, None] < 60, ROOM, NEW + OLD)
    assert turn(magnitudes, ENDED) == ENDED


def test_the_last_look_of_a_take_may_begin_a_note() -> None:
    found = [FoundNote(0, 60, 219), FoundNote(1, 219, 220)]
    turned = TurnedSound(looks_of(change_at(218)), SETTINGS.turn)
    assert turned.at(found, (55, 57), 1) / HOP_S == pytest.approx(218, abs=2.0)
