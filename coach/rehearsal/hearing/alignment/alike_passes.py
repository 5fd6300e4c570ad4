"""Which of several passes that are alike a leg is: they are counted in order.

Of a passage that is played many times over nothing in the sound tells the pass.  A
recording from elsewhere is taken to begin with the first, and to go on with the next.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from coach.rehearsal.hearing.alignment.legs import Leg
from coach.rehearsal.hearing.due_part import DuePart, bar_of

ALIKE_S = 0.002
"""Notes that stand in their passage within this of each other are written alike."""

OVER_COUNT = 4
"""After the last note a way leads so many notes on at most, in what only rings."""


def count_from_first(legs: Sequence[Leg], due: DuePart) -> tuple[Leg, ...]:
    """Give each leg the pass that the one before it leads to.

    The first leg is the earliest one alike.  Another goes straight on where the beat
    does, as one leg with it; else it goes back no farther than it must.
    """
    counted: list[Leg] = []
    for leg in legs:
        places = list(_places(leg, due))
        if not counted:
            counted.append(_moved(leg, places[0], due))
            continue
        before = counted[-1]
        first = _next_place(before, leg, places, due)
        moved = _moved(leg, first, due)
        if first == before.last + 1 and _is_in_time(before, leg, first, due):
            counted[-1] = _joined(before, moved)
        else:
            counted.append(moved)
    return tuple(counted)


def _places(leg: Leg, due: DuePart) -> Iterator[int]:
    """Name the notes with which a leg may begin, in order: its own, and those alike.

    Passes are alike note by note, and each stands in its bars as the others do.
    """
    keys = np.array([note.midi for note in due.notes])
    is_out = np.array([note.is_left_out for note in due.notes])
    times = np.array([note.due for note in due.notes])
    whole = len(leg.begins)
    least = max(1, whole - OVER_COUNT)
    for first in np.flatnonzero(keys[: len(keys) - least + 1] == keys[leg.first]):
        count = min(whole, len(keys) - int(first))
        own, other = slice(leg.first, leg.first + count), slice(first, first + count)
        is_alike = (
            abs(_in_bar(due, int(first)) - _in_bar(due, leg.first)) <= ALIKE_S
            and np.array_equal(keys[other], keys[own])
            and np.array_equal(is_out[other], is_out[own])
            and np.ptp(times[other] - times[own]) <= ALIKE_S
        )
        if first == leg.first or is_alike:
            yield int(first)


def _moved(leg: Leg, first: int, due: DuePart) -> Leg:
    """Let a leg begin with another note, and end with the page at the latest."""
    begins = leg.begins[: len(due.notes) - first]
    return replace(leg, first=first, way_first=first, begins=begins)


def _in_bar(due: DuePart, note: int) -> float:
    """Tell how far in its bar a note is due; on a page without bars, in the whole."""
    begins = due.bar_starts[bar_of(due, note)] if due.bar_starts else due.notes[0].due
    return float(due.notes[note].due - begins)


def _next_place(before: Leg, leg: Leg, places: Sequence[int], due: DuePart) -> int:
    """Choose the note with which a leg begins after another one."""
    in_time = [first for first in places if _is_in_time(before, leg, first, due)]
    back = [first for first in places if first <= before.last + 1]
    return max(in_time or back, default=places[0])


def _is_in_time(before: Leg, leg: Leg, first: int, due: DuePart) -> bool:
    """Tell whether the beat goes on where a leg begins with a note after another."""
    on_page = float(due.notes[first].due - due.notes[before.last].due)
    in_take = leg.begins[0] - before.begins[-1]
    return first > before.last and abs(on_page - in_take) <= float(due.beat) / 2


def _joined(before: Leg, leg: Leg) -> Leg:
    """Make one leg of two of which one goes on where the other ended."""
    return replace(
        before, begins=before.begins + leg.begins, end=leg.end, latest=leg.latest
    )
