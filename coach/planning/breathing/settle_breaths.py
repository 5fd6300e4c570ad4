"""Settle the breaths: search, and where that leaves the player dry, search further.

Notes are left out only where nothing gentler keeps the player from squeezing, or
nothing but breaths snatched one after the other, or one that parts the last two notes;
breaths may follow each other sooner only where the player would be dry even so, or part
them.

Conventions
-----------
Air is a fraction of capacity.  A gap is named by the index of the note before it.
"""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from itertools import pairwise

from coach.planning.breathing.alike.alike_breaths import (
    breathe_alike,
    every_gap,
    find_twins,
    hold_on,
)
from coach.planning.breathing.alike.like_bars import breathe_like_bars
from coach.planning.breathing.breath_costs import LIKELY
from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.breath_ways import ROUNDING
from coach.planning.breathing.choose_ways import Allowed, choose_ways
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.search.breath_search import find_breaths
from coach.planning.breathing.search.breath_walk import Walk
from coach.planning.breathing.search.dry_notes import dry_note

FURTHER_LOOKS = 3
"""Leaving out notes moves where it is dry; looked at so often at most."""

BREATHS_OF_END = 4
"""So many breaths up to the last note are moved for the sake of a whole end."""

FULL_WITHIN = 0.03
"""A breath that leaves less than this free counts as full."""


@dataclass(frozen=True, slots=True)
class SettledBreaths:
    """The breaths that were chosen, and from what."""

    places: Places
    """The part, laid out."""

    allowed: Allowed
    """How one could breathe, and where one had to."""

    walk: Walk
    """The breaths, played through."""

    moved: frozenset[int]
    """Gaps breathed at for the sake of like bars, where another were cheaper."""


def settle_breaths(
    places: Places, locks: Locks, before: AbstractSet[int] | None = None
) -> SettledBreaths:
    """Choose the breaths of a part.

    Parameters
    ----------
    before : set of int, optional
        Gaps breathed in so far: left only for what is clearly better.
    """
    allowed = choose_ways(places, locks)
    walk = _cheapest(places, allowed, before)
    opened: set[int] = set()
    for look in range(FURTHER_LOOKS):
        if look and dry_note(places, walk) is None:
            break
        pressed = _hard_pressed(places, walk) - opened
        more = allowed.with_fewer_notes(places, locks, pressed)
        if more == allowed:
            break
        opened |= pressed
        allowed = more
        walk = _cheapest(places, allowed, before)
    if dry_note(places, walk) is not None:
        places = places.in_need()
        walk = _cheapest(places, allowed, before)
    elif _is_end_torn(places, allowed, walk):
        first = _before_end(walk)
        sooner = places.in_need(first)
        gaps = set(range(first, len(places.gaps) - 1))
        fewer = allowed.with_fewer_notes(places, locks, gaps - opened)
        whole = _cheapest(sooner, fewer, before)
        if whole.cost < walk.cost and not _is_end_torn(places, fewer, whole):
            places, allowed, walk = sooner, fewer, whole
    if before is not None and dry_note(places, walk) is not None:
        walk = hold_on(places, allowed, before)
    twins = find_twins(places)
    cheapest = _gaps(walk)
    walk = breathe_like_bars(places, allowed, walk, every_gap(twins))
    moved = _gaps(walk) - cheapest
    walk = breathe_alike(places, walk, locks, twins)
    return SettledBreaths(places, allowed, walk, moved & _gaps(walk))


def _gaps(plan: Walk) -> frozenset[int]:
    """Give the gaps breathed at."""
    return frozenset(k for k, _ in plan.breaths)


def _is_end_torn(places: Places, allowed: Allowed, walk: Walk) -> bool:
    """Tell whether a breath parts a note from a last one as long, for no rest.

    One that is asked for may, and so may one after a longer note.
    """
    last = len(places.gaps) - 1
    taken = dict(walk.breaths).get(last)
    if taken is None or taken.is_on_rest or allowed.forced[last]:
        return False
    before, final = places.passage.part.notes[-2:]
    return before.length <= final.length


def _before_end(walk: Walk) -> int:
    """Give the first gap from which the end is planned anew."""
    return walk.breaths[-BREATHS_OF_END][0] if walk.breaths[BREATHS_OF_END:] else 0


def _cheapest(
    places: Places, allowed: Allowed, before: AbstractSet[int] | None
) -> Walk:
    """Search near the breaths so far; anew where holding on to them would be dry."""
    if before is not None:
        held = hold_on(places, allowed, before)
        if dry_note(places, held) is None:
            return held
    return find_breaths(places, allowed)


def _hard_pressed(places: Places, walk: Walk) -> set[int]:
    """Give the gaps where notes may be left out: where air is low, or all gasping.

    A stretch goes from one full breath to the next.  To squeeze out the last of the
    air, or to snatch breath after breath where no phrase ends, is no gentler than to
    leave out a few notes; which of them it is, their costs decide.
    """
    full = places.breather.air.full_share - FULL_WITHIN
    fulls = [-1, *(k for k, _ in walk.breaths if walk.air_before[k + 1] >= full)]
    fulls.append(len(places.gaps))
    low = places.breather.costs.low_share - ROUNDING
    poor = [
        (k, way.cost)
        for k, way in walk.breaths
        if not way.is_on_rest and places.gaps[k].phrase_end < LIKELY
    ]
    pressed: set[int] = set()
    for before, after in pairwise(fulls):
        is_low = any(level < low for level in walk.air_after[before + 1 : after + 1])
        snatched = sum(cost for k, cost in poor if before < k <= after)
        if is_low or snatched > places.breather.costs.snatched_weight:
            pressed.update(range(before + 1, after))
    return pressed
