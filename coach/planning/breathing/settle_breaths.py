"""Settle the breaths: search, and where that leaves the player dry, search further.

Notes are left out, and breaths may follow each other sooner, only where nothing
gentler keeps the player above empty.

Conventions
-----------
Air is a fraction of capacity.  A gap is named by the index of the note before it.
"""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from itertools import pairwise

from coach.planning.breathing.alike_breaths import (
    breathe_alike,
    hold_on,
    leave_out_alike,
)
from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.breath_ways import ROUNDING
from coach.planning.breathing.breath_words import dry_note
from coach.planning.breathing.choose_ways import Allowed, choose_ways
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.search.breath_search import find_breaths
from coach.planning.breathing.search.breath_walk import Walk

FURTHER_LOOKS = 3
"""Leaving out notes moves where it is dry; looked at so often at most."""

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
    for _ in range(FURTHER_LOOKS):
        if dry_note(places, walk) is None:
            break
        more = allowed.with_fewer_notes(places, locks, _around_dry(places, walk))
        if more == allowed:
            break
        allowed = more
        walk = _cheapest(places, allowed, before)
    if dry_note(places, walk) is not None:
        places = places.in_need()
        walk = _cheapest(places, allowed, before)
    if before is not None and dry_note(places, walk) is not None:
        walk = hold_on(places, allowed, before)
    walk = leave_out_alike(places, allowed, walk)
    return SettledBreaths(places, allowed, breathe_alike(places, walk, locks))


def _cheapest(
    places: Places, allowed: Allowed, before: AbstractSet[int] | None
) -> Walk:
    """Search near the breaths so far; anew where holding on to them would be dry."""
    if before is not None:
        held = hold_on(places, allowed, before)
        if dry_note(places, held) is None:
            return held
    return find_breaths(places, allowed)


def _around_dry(places: Places, walk: Walk) -> set[int]:
    """Give the gaps from the full breath before each dry note to the one after."""
    full = places.breather.air.full_share - FULL_WITHIN
    fulls = [-1, *(k for k, _ in walk.breaths if walk.air_before[k + 1] >= full)]
    fulls.append(len(places.gaps))
    empty = places.breather.air.empty_share - ROUNDING
    around: set[int] = set()
    for before, after in pairwise(fulls):
        if any(level < empty for level in walk.air_after[before + 1 : after + 1]):
            around.update(range(before + 1, after))
    return around
