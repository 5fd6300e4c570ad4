"""Looks that grow in place."""

from __future__ import annotations

import numpy as np
import pytest

from coach.rehearsal.hearing.features.look_store import ROOM_COUNT, LookStore


@pytest.mark.parametrize("batch", [1000, ROOM_COUNT, 3 * ROOM_COUNT + 1])
def test_what_is_added_comes_back_as_it_was(batch: int) -> None:
    whole = np.arange(batch * 3, dtype=np.float32) % 1000
    wide = np.stack([whole, -whole], axis=1).astype(np.float16)
    store = LookStore()
    for begin in range(0, len(whole), batch):
        store.add([whole[begin : begin + batch], wide[begin : begin + batch]])
    assert len(store) == len(whole)
    one, other = store.take(len(whole) - 7)
    assert np.array_equal(one, whole[:-7])
    assert np.array_equal(other, wide[:-7])
    assert one.dtype == np.float32
    assert other.dtype == np.float16


def test_what_was_taken_is_held_no_longer() -> None:
    store = LookStore()
    store.add([np.zeros(3)])
    store.take(3)
    assert len(store) == 0
    assert store.take(0) == []
