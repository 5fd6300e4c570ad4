"""Find what comes again: figures, note for note, and sequences, step for step.

A figure is a short stretch of notes that is heard as one thing.  It comes again
where the same pitches come in the same rhythm and are begun the same way: right
after itself, or later as a beat or a bar of its own.  A sequence is a figure that
comes right after itself from another step of the scale.

Conventions
-----------
Notes are counted from 0.

Notes
-----
One pass over the notes that looks at most two figures ahead: linear.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

SHORTEST = 2
"""A single note is no figure."""

LEAST_NOTES = {SHORTEST: 3 * SHORTEST}
"""Notes that make a loop: of the shortest figures three, of all others two."""


@dataclass(frozen=True, slots=True)
class Figure:
    """A stretch of notes and every place where it stands."""

    starts: tuple[int, ...]
    """First note of each, in order; they do not overlap."""

    size: int
    """Notes in it."""


def find_figures(
    shapes: Sequence[Hashable],
    places: Sequence[Hashable],
    cells: Sequence[int],
    longest: int,
) -> tuple[Figure, ...]:
    """Find the figures that come again, note for note.

    Parameters
    ----------
    shapes : sequence, length n
        All that must be equal for two notes to be played alike.
    places : sequence, length n
        What must be equal for the first notes of two figures, which may be reached
        in different ways.
    cells : sequence of int
        First notes of beats and bars.
    longest : int
        Notes in the longest figure that is looked for right after itself.

    Returns
    -------
    tuple of Figure
        No note belongs to two of them.
    """
    starts: dict[tuple[Hashable, ...], list[int]] = defaultdict(list)
    for first, end in _cut(shapes, places, frozenset(cells), longest):
        key = (places[first], *shapes[first + 1 : end])
        starts[key].append(first)
    return tuple(
        Figure(tuple(found), len(key))
        for key, found in starts.items()
        if len(found) > 1 and len(key) >= SHORTEST
    )


def _cut(
    shapes: Sequence[Hashable],
    places: Sequence[Hashable],
    cells: frozenset[int],
    longest: int,
) -> Iterator[tuple[int, int]]:
    """Cut the notes into figures that come right after themselves, and cells."""
    first = k = 0
    while k < len(shapes):
        size, times = _loop(shapes, places, k, longest)
        if times and first < k:
            yield first, k
        for _ in range(times):
            yield k, k + size
            first = k = k + size
        if not times:
            k += 1
            if k in cells or k == len(shapes):
                yield first, k
                first = k


def _loop(
    shapes: Sequence[Hashable], places: Sequence[Hashable], k: int, longest: int
) -> tuple[int, int]:
    """Find the shortest figure at a note that comes again at once, and how often."""
    for size in range(SHORTEST, min(longest, (len(shapes) - k) // 2) + 1):
        end = k + size
        while (
            end + size <= len(shapes)
            and places[end] == places[k]
            and shapes[end + 1 : end + size] == shapes[k + 1 : k + size]
        ):
            end += size
        if end - k >= LEAST_NOTES.get(size, 2 * size):
            return size, (end - k) // size
    return 0, 0


def find_sequences(
    manners: Sequence[Hashable], steps: Sequence[int], longest: int
) -> tuple[Figure, ...]:
    """Find the figures that come right after themselves from another step.

    Parameters
    ----------
    manners : sequence, length n
        All but the pitch that must be equal for two notes to be begun alike.
    steps : sequence of int, length n
        Where each note stands on the staff.
    longest : int
        Notes in the longest figure that is looked for.

    Returns
    -------
    tuple of Figure
        No note belongs to two of them; a plain scale is none.
    """
    moves = [0, *(step - before for before, step in pairwise(steps))]
    turns = list(zip(manners, moves, strict=True))
    found = []
    k = 0
    while k < len(turns):
        size, times = _climb(turns, moves, k, longest)
        if times:
            starts = tuple(range(k, k + size * times, size))
            found.append(Figure(starts, size))
        k += max(1, size * times)
    return tuple(found)


def _climb(
    turns: Sequence[Hashable], moves: Sequence[int], k: int, longest: int
) -> tuple[int, int]:
    """Find the shortest figure at a note that climbs or falls, and how often."""
    for size in range(SHORTEST, min(longest, (len(turns) - k) // 2) + 1):
        end = k + size
        if turns[k + 1] != turns[end + 1]:
            continue
        inside = moves[k + 1 : end + 1]
        if sum(inside) == 0 or len(set(inside)) == 1:
            continue
        while (
            end + size <= len(turns)
            and turns[end + 1 : end + size] == turns[k + 1 : k + size]
            and (end == k + size or turns[end] == turns[k + size])
        ):
            end += size
        if end - k >= LEAST_NOTES.get(size, 2 * size):
            return size, (end - k) // size
    return 0, 0
