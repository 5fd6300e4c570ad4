"""Cut the way through a take where the player stopped and began again.

Conventions
-----------
Times are seconds from the take's first sample.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import median

import numpy as np

from coach.rehearsal.hearing.alignment.rough_path import PAUSE, RoughPath
from coach.rehearsal.hearing.due_part import DuePart


@dataclass(frozen=True, slots=True)
class Leg:
    """Notes of the page played in a row, and roughly when."""

    first: int
    """Index of the first of them."""

    begins: tuple[float, ...]
    """Roughly when each began."""

    end: float
    """When the leg was over."""

    @property
    def last(self) -> int:
        """Index of the last of them."""
        return self.first + len(self.begins) - 1


def cut_legs(path: RoughPath, due: DuePart, smooth_notes: int) -> tuple[Leg, ...]:
    """Cut a way into legs, in order of time."""
    zero = float(due.notes[0].due)
    page = np.array([round((n.due - zero) / path.hop_s) for n in due.notes])
    legs = []
    for a, b in _stretches(path):
        places = path.places[a:b]
        first = int(np.searchsorted(page, places[0]))
        last = int(np.searchsorted(page, places[-1], side="right")) - 1
        if last < first:
            continue
        reached = a + np.searchsorted(places, page[first : last + 1])
        begins = reached * path.hop_s
        written = np.array([n.due for n in due.notes[first : last + 1]])
        legs.append(
            Leg(
                first,
                tuple(written + _smooth(list(begins - written), smooth_notes)),
                b * path.hop_s,
            )
        )
    return tuple(legs)


def _stretches(path: RoughPath) -> Iterator[tuple[int, int]]:
    """Give the moments of the take at which the page goes on without a break."""
    begin = None
    before = PAUSE
    for t, place in enumerate(path.places):
        if begin is not None and (place == PAUSE or before == PAUSE):
            yield begin, t
            begin = None
        if begin is None and place != PAUSE:
            begin = t
        before = int(place)
    if begin is not None:
        yield begin, len(path.places)


def _smooth(values: Sequence[float], width: int) -> list[float]:
    """Give running medians."""
    half = width // 2
    return [
        median(values[max(0, k - half) : k + half + 1]) for k in range(len(values))
    ]
