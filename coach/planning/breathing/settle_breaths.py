"""Settle the breaths: search, and where that leaves the player dry, search further.

Notes are left out where that costs less than squeezing out the air, or snatching breath
after breath; breaths may follow each other sooner only where the player would be dry
even so, or part the last two notes.

Conventions
-----------
Air is a fraction of capacity.  A gap is named by the index of the note before it.
"""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace

from coach.planning.breathing.alike.alike_breaths import (
    breathe_alike,
    every_gap,
    find_twins,
    hold_on,
)
from coach.planning.breathing.alike.like_bars import breathe_as_long, breathe_like_bars
from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.search.breath_search import find_breaths
from coach.planning.breathing.search.breath_walk import Walk
from coach.planning.breathing.search.dry_notes import dry_note
from coach.planning.breathing.ways.breath_ways import ROUNDING
from coach.planning.breathing.ways.choose_ways import Allowed, choose_ways

BREATHS_OF_END = 4
"""So many breaths up to the last note are moved for the sake of a whole end."""


@dataclass(frozen=True, slots=True)
class SettledBreaths:
    """The breaths that were chosen, and from what."""

    places: Places
    """The part, laid out."""

    allowed: Allowed
    """How one could breathe, and where one had to."""

    whole: Allowed
    """The same, but for leaving out notes that nobody asks to leave out."""

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
    every_one = frozenset(range(len(places.gaps)))
    whole = choose_ways(places, locks)
    allowed = whole.with_fewer_notes(places, locks, every_one)
    walk = _cheapest(places, allowed, before)
    if dry_note(places, walk) is not None:
        places = places.in_need()
        walk = _cheapest(places, allowed, before)
    elif _is_squeezed(places, walk):
        # Who is not dry needs no breath on each of two rests a short note apart.
        sooner = places.in_need(on_rest_s=places.breather.costs.soonest_on_rest_s)
        other = _cheapest(sooner, allowed, before)
        if _price(other, allowed) < _price(walk, allowed):
            places, walk = sooner, other
    elif _is_end_torn(places, allowed, walk):
        first = _before_end(walk)
        sooner = places.in_need(first)
        nearby = allowed.only_at(_gaps(walk) | {*range(first, len(places.gaps))})
        other = _cheapest(sooner, nearby, before)
        is_better = _price(other, allowed) < _price(walk, allowed)
        if is_better and not _is_end_torn(places, allowed, other):
            places, walk = sooner, other
    if before is not None and dry_note(places, walk) is not None:
        walk = hold_on(places, allowed, before)
    twins = find_twins(places.passage.part, places.gaps)
    cheapest = _gaps(walk)
    walk = breathe_like_bars(places, allowed, walk, every_gap(twins))
    moved = _gaps(walk) - cheapest
    shortened = any(way.left_out for _, way in walk.breaths)
    asked = (locks.must | places.marked) - locks.must_not
    walk = breathe_alike(places, allowed if shortened else whole, walk, asked, twins)
    walk = breathe_as_long(places, allowed, walk, twins)
    return SettledBreaths(places, allowed, whole, walk, moved & _gaps(walk))


def _gaps(plan: Walk) -> frozenset[int]:
    """Give the gaps breathed at."""
    return frozenset(k for k, _ in plan.breaths)


def _price(plan: Walk, allowed: Allowed) -> float:
    """Tell what a plan costs, with what its breaths cost besides."""
    return plan.cost + allowed.besides(_gaps(plan))


def _is_squeezed(places: Places, walk: Walk) -> bool:
    """Tell whether more air is squeezed out than is planned without need."""
    return min(walk.air_after) < places.breather.costs.low_share - ROUNDING


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
    found = find_breaths(places, allowed)
    if allowed.prices and dry_note(places, found) is not None:
        return find_breaths(places, replace(allowed, prices=()))
    return found
