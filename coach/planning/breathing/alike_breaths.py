"""The same music, the same breath: passes of a repeat are breathed alike.

Each pass by itself may have its own cheapest breaths.  A player learns one way, so
the passes are planned alike where that costs little more and leaves nobody dry.

Conventions
-----------
Two gaps are twins where the same note of the page follows the same.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.breath_search import Walk, find_breaths
from coach.planning.breathing.choose_ways import choose_ways
from coach.planning.breathing.locks import Locks

Twins = tuple[tuple[int, ...], ...]
"""Gaps that are one on the page, in order of playing; at least two each."""


def breathe_alike(places: Places, plain: Walk, locks: Locks) -> Walk:
    """Give a plan in which the passes of a repeat are breathed alike, where it pays.

    Parameters
    ----------
    places : Places
        The part, laid out.
    plain : Walk
        The cheapest plan, each pass by itself.
    locks : Locks
        What the player insists on.

    Returns
    -------
    Walk
        The cheapest plan of those that breathe alike, or the plain one.
    """
    twins = find_twins(places)
    breathed = frozenset(k for k, _ in plain.breaths)
    unlike = [gaps for gaps in twins if len(breathed.intersection(gaps)) % len(gaps)]
    if not unlike or any(way.left_out for _, way in plain.breaths):
        return plain
    most = plain.cost + places.breather.costs.alike_weight * len(unlike)
    best = plain
    for alike in _patterns(twins, breathed):
        asked = Locks(
            must=(locks.must | alike) - locks.must_not,
            must_not=locks.must_not | (_all(twins) - alike - locks.must),
            may_leave_out=False,
        )
        found, _ = find_breaths(places, choose_ways(places, asked))
        if found.cost <= most and _is_sound(places, found, breathed):
            best, most = found, found.cost
    return best


def find_twins(places: Places) -> Twins:
    """Find the gaps that are one and the same on the page."""
    part = places.passage.part
    if len({bar.number for bar in part.bars}) == len(part.bars):
        return ()
    notes = part.notes
    found = defaultdict(list)
    for k, (before, after) in enumerate(pairwise(notes)):
        key = [(n.bar, n.beat, n.is_grace, n.sounding) for n in (before, after)]
        found[tuple(key)].append(k)
    return tuple(tuple(gaps) for gaps in found.values() if len(gaps) > 1)


def _all(twins: Twins) -> frozenset[int]:
    """Give every gap that has a twin."""
    return frozenset(gap for gaps in twins for gap in gaps)


def _patterns(twins: Twins, breathed: frozenset[int]) -> Iterator[frozenset[int]]:
    """Give what each pass breathes, and what any does, in all passes."""
    for number in range(max(len(gaps) for gaps in twins)):
        yield frozenset(
            gap
            for gaps in twins
            if number < len(gaps) and gaps[number] in breathed
            for gap in gaps
        )
    yield frozenset(
        gap for gaps in twins if breathed.intersection(gaps) for gap in gaps
    )


def _is_sound(places: Places, walk: Walk, breathed: frozenset[int]) -> bool:
    """Tell whether nobody is dry and no breath that is put in is for nothing."""
    empty = places.breather.air.empty_share
    gains = [
        walk.air_before[k + 1] - walk.air_after[k]
        for k, way in walk.breaths
        if k not in breathed and not way.is_on_rest
    ]
    is_worth = min(gains, default=1.0) >= places.breather.costs.worth_share
    return is_worth and min(walk.air_after) >= empty
