"""Looks that grow in place as they come: a long take is never held twice."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

Column = NDArray[Any]

ROOM_COUNT = 16_384
"""The columns grow by so many at a time: some 80 s of looks."""


class LookStore:
    """Columns of one length; the first axis of each counts the looks."""

    def __init__(self) -> None:
        self._columns: list[Column] = []
        self._count = 0

    def __len__(self) -> int:
        """Tell how many looks there are."""
        return self._count

    def add(self, parts: Sequence[Column]) -> None:
        """Add some looks, a part for each column."""
        until = self._count + len(parts[0])
        if not self._columns:
            self._columns = [np.empty((0, *p.shape[1:]), p.dtype) for p in parts]
        room = -(-until // ROOM_COUNT) * ROOM_COUNT
        for column, part in zip(self._columns, parts, strict=True):
            if until > len(column):
                column.resize((room, *column.shape[1:]), refcheck=False)
            column[self._count : until] = part
        self._count = until

    def take(self, count: int) -> list[Column]:
        """Give the first looks of each column, and hold none of it any longer."""
        columns, self._columns, self._count = self._columns, [], 0
        for column in columns:
            column.resize((count, *column.shape[1:]), refcheck=False)
        return columns
