"""Whether the air could last at all, whatever it costs.

A walk of one state, the fullest: far quicker than the search for the cheapest breaths,
which need not be made where no breaths do.
"""

from __future__ import annotations

from collections import deque

from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.ways.breath_ways import ROUNDING
from coach.planning.breathing.ways.choose_ways import choose_ways

GONE = float("inf")
"""Depth where nobody is yet; who is dry stays so until the end."""


def can_last(places: Places, locks: Locks) -> bool:
    """Tell whether the air may last; False only where no choice of breaths has it last.

    Breaths may follow each other as soon as in need, may be for nothing, and may be
    passed by though they are asked for: so a few may be told that they can who cannot.
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
            ripe = min(ripe, waiting.popleft()[1])
        # Who is asked to breathe may have breathed just now.
        ready = min([ripe, *(at for _, at in waiting)]) if allowed.forced[k] else ripe
        for way in allowed.ways[k]:
            depth = ready + used[k] + way.used
            if depth <= empty:
                following = k + 1 + way.left_out
                filled = places.lungs.breathe(depth, way.still_empty) - used[following]
                arriving[following] = min(filled, arriving.get(following, GONE))
        if k + 1 in arriving:
            waiting.append((k + 1, arriving.pop(k + 1)))
    return min([ripe, *(at for _, at in waiting)]) + used[-1] <= empty
