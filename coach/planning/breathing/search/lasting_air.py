"""Whether the air could last at all, whatever it costs.

A walk of one state, the fullest: far quicker than the search for the cheapest breaths,
which need not be made where no breaths do.
"""

from __future__ import annotations

from collections import deque

from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.breath_ways import ROUNDING
from coach.planning.breathing.choose_ways import choose_ways
from coach.planning.breathing.locks import Locks

GONE = float("inf")
"""Depth of a player who was dry on the way."""


def can_last(places: Places, locks: Locks) -> bool:
    """Tell whether the air may last; False only where no choice of breaths has it last.

    Breaths may follow each other as soon as in need, and may be for nothing: so a few
    may be told that they can who cannot.
    """
    places = places.in_need()
    used, last = places.used_before, len(places.gaps)
    every_gap = frozenset(range(last))
    allowed = choose_ways(places, locks).with_fewer_notes(places, locks, every_gap)
    empty = places.lungs.empty_depth + ROUNDING
    ripe = GONE
    waiting = deque([(0, places.start_depth)])
    arriving: dict[int, float] = {}
    for k in range(last):
        while waiting and waiting[0][0] <= places.ripe_from[k]:
            ripe = min(ripe, _alive(waiting.popleft()[1], used[k], empty))
        ways, is_forced = allowed.ways[k], allowed.forced[k]
        ready = min([ripe, *(at for _, at in waiting)]) if is_forced else ripe
        for way in ways:
            depth = ready + used[k] + way.used
            if depth <= empty:
                following = k + 1 + way.left_out
                filled = places.lungs.breathe(depth, way.still_empty) - used[following]
                arriving[following] = min(filled, arriving.get(following, GONE))
        if is_forced:
            ripe = GONE
            waiting.clear()
        ripe = _alive(ripe, used[k + 1], empty)
        if k + 1 in arriving:
            waiting.append((k + 1, arriving.pop(k + 1)))
    return min([ripe, *(at for _, at in waiting)]) + used[-1] <= empty


def _alive(at: float, used: float, empty: float) -> float:
    """Give a depth less the air used so far, unless the air is gone by now."""
    return at if at + used <= empty else GONE
