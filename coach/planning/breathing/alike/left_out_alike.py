"""Leave out the same notes of like figures, and at like places of the bar.

Each breath by itself may have its own cheapest notes to leave out.  A player learns
one way to shorten a line, so the others are made like it where that costs little more
and leaves nobody dry.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.breath_ways import ROUNDING, Way
from coach.planning.breathing.choose_ways import Allowed
from coach.planning.breathing.search.breath_search import find_breaths
from coach.planning.breathing.search.breath_walk import Walk

A_CHOICE = 2
"""From so many likenesses on one may be taken in place of the others."""

MOST_NOTES_ANEW = 5_000
"""Searched once more for the sake of the place in the bar, but for longer parts."""

Likeness = Callable[[Places, int, int], object]
"""Tells of a gap, and how many notes are left out after it, what like ones have in
common."""


def leave_out_alike(places: Places, allowed: Allowed, plain: Walk) -> Walk:
    """Give a plan that leaves out the same notes of every like figure, where it pays.

    And then at the same place of the bar, whatever the figure: a player learns one way
    to shorten a line.  Tried is what the plan takes most often.
    """
    likenesses = _figure, _place_in_bar
    is_long = len(places.notes) > MOST_NOTES_ANEW
    for likeness in likenesses[:1] if is_long else likenesses:
        used = Counter(
            likeness(places, k, way.left_out)
            for k, way in plain.breaths
            if way.left_out
        )
        if len(used) < A_CHOICE:
            continue
        ((like, count),) = used.most_common(1)
        odd = used.total() - count
        narrowed = _narrowed(places, allowed, likeness, like)
        found = find_breaths(places, narrowed)
        most = plain.cost + places.breather.costs.alike_weight * odd
        is_dry = min(found.air_after) < places.breather.air.empty_share - ROUNDING
        if found.cost <= most and not is_dry:
            plain, allowed = found, narrowed
    return plain


def _narrowed(
    places: Places, allowed: Allowed, likeness: Likeness, like: object
) -> Allowed:
    """Keep the ways that leave out no notes but those that are alike."""
    ways = tuple(
        at_gap if is_forced else _alike(places, k, at_gap, likeness, like)
        for k, (at_gap, is_forced) in enumerate(
            zip(allowed.ways, allowed.forced, strict=True)
        )
    )
    return replace(allowed, ways=ways)


def _alike(
    places: Places, k: int, ways: tuple[Way, ...], likeness: Likeness, like: object
) -> tuple[Way, ...]:
    """Keep the ways in one gap that leave out no notes but those that are alike."""
    if not (ways and ways[-1].left_out):
        return ways
    counts = {way.left_out for way in ways} - {0}
    odd = {count for count in counts if likeness(places, k, count) != like}
    return tuple(way for way in ways if way.left_out not in odd) if odd else ways


def _figure(places: Places, k: int, count: int) -> object:
    """Tell of which figure which notes are left out, in whatever key."""
    notes = places.passage.part.notes[k : k + count + 2]
    keys = [note.sounding.midi for note in notes]
    lengths = tuple(note.length for note in notes[:-1])
    steps = tuple(after - before for before, after in pairwise(keys))
    return notes[0].beat % 1, lengths, steps


def _place_in_bar(places: Places, k: int, count: int) -> object:
    """Tell at which beat notes of which length are left out, whatever they are."""
    notes = places.passage.part.notes[k : k + count + 1]
    return notes[0].beat, tuple(note.length for note in notes)
