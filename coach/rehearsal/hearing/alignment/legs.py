"""Cut the way through a take where the player stopped and began again.

Conventions
-----------
Times are seconds from the take's first sample.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from coach.rehearsal.hearing.alignment.alignment_settings import FineSettings
from coach.rehearsal.hearing.alignment.rough_path import PAUSE, RoughPath
from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.running_medians import running_medians


@dataclass(frozen=True, slots=True)
class Leg:
    """Notes of the page played in a row, and roughly when."""

    first: int
    """Index of the first of them."""

    begins: tuple[float, ...]
    """Roughly when each began."""

    end: float
    """When the leg was over."""

    earliest: float = 0.0
    """When what came before it was over."""

    latest: float = float("inf")
    """When what comes after it begins."""

    way_first: int = 0
    """The way led through this note first; those before it were given to the leg."""

    @property
    def last(self) -> int:
        """Index of the last of them."""
        return self.first + len(self.begins) - 1


def cut_legs(path: RoughPath, due: DuePart, settings: FineSettings) -> tuple[Leg, ...]:
    """Cut a way into legs, in order of time."""
    zero = float(due.notes[0].due)
    page = np.array([round((n.due - zero) / path.hop_s) for n in due.notes])
    legs: list[Leg] = []
    stretches = list(_stretches(path))
    ends = [a for a, _ in stretches[1:]] + [len(path.places)] * bool(stretches)
    over = 0
    for (a, b), latest in zip(stretches, ends, strict=True):
        places = path.places[a:b]
        first = int(np.searchsorted(page, places[0]))
        last = int(np.searchsorted(page, places[-1], side="right")) - 1
        if last < first:
            continue
        reached = a + np.searchsorted(places, page[first : last + 1])
        written = np.array([n.due for n in due.notes[first : last + 1]])
        begins = reached * path.hop_s
        off = running_medians(list(begins - written), settings.smooth_notes)
        begins = written + off
        end, following = b * path.hop_s, latest * path.hop_s
        legs.append(
            Leg(first, tuple(begins.tolist()), end, over * path.hop_s, following, first)
        )
        over = b
    return tuple(legs)


def widen(leg: Leg, due: DuePart, around: int) -> Leg:
    """Give a leg a few notes before and after it, as far as there is time for them.

    That is between its neighbours: a soft note may have been taken for silence.
    """
    notes = due.notes
    early = leg.begins[0] - notes[leg.first].due
    late = leg.begins[-1] - notes[leg.last].due
    first, last = leg.first, leg.last
    least = max(0, leg.first - around)
    while first > least and notes[first - 1].due + early > leg.earliest:
        first -= 1
    most = min(len(notes) - 1, leg.last + around)
    while last < most and notes[last + 1].end + late < leg.latest:
        last += 1
    before = [note.due + early for note in notes[first : leg.first]]
    after = [note.due + late for note in notes[leg.last + 1 : last + 1]]
    end = max(leg.end, min(leg.latest, notes[last].end + late))
    begins = (*before, *leg.begins, *after)
    return replace(leg, first=first, begins=begins, end=end)


def _stretches(path: RoughPath) -> Iterator[tuple[int, int]]:
    """Give the moments of the take at which the page goes on without a break."""
    is_played = np.concatenate([[False], path.places != PAUSE, [False]])
    edges = np.flatnonzero(np.diff(is_played.astype(np.int8)))
    for begin, end in zip(edges[0::2], edges[1::2], strict=True):
        yield int(begin), int(end)
