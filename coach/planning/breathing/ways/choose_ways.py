"""Narrow the ways to breathe down to what the page and the player ask for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from typing import NamedTuple

from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.ways.breath_draws import (
    Freed,
    draws_without,
    shortest_breath_s,
)
from coach.planning.breathing.ways.breath_ways import (
    EVERY_NOTE,
    Way,
    place_draws,
    whole_way,
)
from coach.planning.breathing.ways.leaving_out import (
    FewerNotes,
    fewer_before_mark,
    find_fewer_notes,
)


@dataclass(frozen=True, slots=True)
class Allowed:
    """The ways that the page and the player leave."""

    ways: tuple[tuple[Way, ...], ...]
    """For each gap, the ways that are allowed; none where no breath may be."""

    forced: tuple[bool, ...]
    """For each gap, whether one of them has to be taken."""

    impossible: tuple[int, ...]
    """Gaps where a breath is asked for and cannot be had."""

    prices: tuple[float, ...] = ()
    """For each gap, what any breath there costs besides; empty where none does."""

    def price(self, k: int) -> float:
        """Tell what any breath in a gap costs besides."""
        return self.prices[k] if self.prices else 0.0

    def besides(self, breathed: Iterable[int]) -> float:
        """Tell what breaths in some gaps, and none in the others, cost besides.

        Never below 0: who is paid for a breath pays for leaving it out.
        """
        paid = sum(min(0.0, price) for price in self.prices)
        return sum(self.price(k) for k in breathed) - paid

    def with_fewer_notes(
        self, places: Places, locks: Locks, gaps: AbstractSet[int]
    ) -> Allowed:
        """Give the same where notes may be left out after some gaps."""
        fewer = _ways_without_notes(places, locks, gaps - locks.must_not)
        for mark in self.impossible:
            if mark not in places.marked or self.forced[mark - 1]:
                continue
            for k, up_to_mark in _ways_up_to(places, locks, mark).items():
                fewer[k] = (*fewer.get(k, ()), *up_to_mark)
        bonds = _bind(self.forced, locks.must_not, _by_hand(places, locks))
        ways = tuple(
            (*plain, *_bound(fewer[k], k, bonds)) if k in fewer else plain
            for k, plain in enumerate(self.ways)
        )
        return replace(self, ways=ways)

    def only_at(self, gaps: AbstractSet[int]) -> Allowed:
        """Give the same where no breath may be but in some gaps."""
        ways = (at_gap if k in gaps else () for k, at_gap in enumerate(self.ways))
        return replace(self, ways=tuple(ways))

    def forced_at(self, gaps: AbstractSet[int]) -> Allowed:
        """Give the same where one has to breathe in some gaps, if there is a way."""
        forced = (was or k in gaps for k, was in enumerate(self.forced))
        return replace(self, forced=tuple(forced))


def choose_ways(places: Places, locks: Locks) -> Allowed:
    """Narrow the ways down to what the page and the player ask for.

    Parameters
    ----------
    locks : Locks
        They go before the page's marks, and a gap that is both asked for and
        forbidden is kept free.

    Notes
    -----
    A mark of the page after a note that is too short for it is moved before that note.
    """
    count = len(places.gaps)
    ways = list(places.ways)
    forced = [False] * count
    for k in locks.must_not.intersection(range(count)):
        ways[k] = ()
    runs = _runs(locks.left_out)
    asked = locks.must | (places.marked - locks.must_not)
    asked -= {first - 1 for first, _ in runs}
    for k in asked - locks.must_not:
        if 0 <= k < count and not ways[k]:
            ways[k] = _tight_ways(places, k)
    tight = {k for k in asked - locks.must_not if 0 <= k < count and not ways[k]}
    for k, fewer in _ways_without_notes(places, locks, tight).items():
        ways[k] = fewer
    impossible = []
    for k in sorted(asked):
        if 0 <= k < count and ways[k]:
            forced[k] = True
            continue
        impossible.append(k)
        if k > 0 and k not in locks.must and ways[k - 1]:
            forced[k - 1] = True
    by_hand = _by_hand(places, locks)
    for first, last in runs:
        if first - 1 in by_hand:
            ways[first - 1] = _ways_by_hand(places, first, last)
            forced[first - 1 : last + 1] = [True] + [False] * (last - first + 1)
        else:
            impossible.append(first - 1)
    bonds = _bind(forced, frozenset(), by_hand)
    kept = tuple(_bound(at_gap, k, bonds) for k, at_gap in enumerate(ways))
    lost = {k for k, is_forced in enumerate(forced) if is_forced and not kept[k]}
    return Allowed(
        ways=kept,
        forced=tuple(is_forced and k not in lost for k, is_forced in enumerate(forced)),
        impossible=tuple(sorted({*impossible, *lost})),
        prices=_goal_prices(places),
    )


def _goal_prices(places: Places) -> tuple[float, ...]:
    """Give what a breath in each gap costs besides, so that the goal's are taken too.

    To leave one out at a price is the same as to be paid for it.
    """
    goal, price = places.passage.goal_breaths, places.breather.costs.goal_breath_weight
    if not goal:
        return ()
    return tuple(-price if k in goal else 0.0 for k in range(len(places.gaps)))


def _tight_ways(places: Places, k: int) -> tuple[Way, ...]:
    """Give the gasp that swallows the note before; none where even that is too short.

    For a breath that is asked for, or was really taken.
    """
    gap, breather = places.gaps[k], places.breather
    way = whole_way(gap, places.airs[k], gap.rest_s, EVERY_NOTE, breather)
    is_short = way.gap_s < shortest_breath_s(breather)
    return () if is_short or gap.is_glissando else (way,)


class _Bonds(NamedTuple):
    """What is asked for, and may lie among notes that are left out."""

    forced: Sequence[bool]
    """For each gap, whether a breath has to be there."""

    must_not: frozenset[int]
    """Gaps that are kept free."""

    by_hand: Mapping[int, int]
    """The last of the notes that are named by hand, for each gap before some."""

    gaps: AbstractSet[int]
    """All gaps of which anything is asked."""


def _bind(
    forced: Sequence[bool], must_not: frozenset[int], by_hand: Mapping[int, int]
) -> _Bonds:
    """Put together what is asked for."""
    asked = {k for k, is_forced in enumerate(forced) if is_forced}
    return _Bonds(forced, must_not, by_hand, asked | must_not | by_hand.keys())


def _bound(ways: Sequence[Way], k: int, bonds: _Bonds) -> tuple[Way, ...]:
    """Keep the ways after a gap that leave out no notes across a breath that has to be.

    Nor where a gap among them has to be without one.  A breath for notes named by hand
    may lie among them, if all of those notes do.  The last way leaves out the most.
    """
    most = ways[-1].left_out if ways else 0
    if not most or bonds.gaps.isdisjoint(range(k, k + 1 + most)):
        return tuple(ways)
    kept = []
    for way in ways:
        last = k + way.left_out
        among = range(k + 1, last + 1)
        is_torn = any(
            bonds.forced[gap] and gap not in bonds.by_hand for gap in among[:-1]
        )
        is_played = any(bonds.by_hand.get(gap, gap) > last for gap in among)
        is_refused = bool(among) and not bonds.must_not.isdisjoint((k, *among))
        if not (is_torn or is_played or is_refused):
            kept.append(way)
    return tuple(kept)


def _ways_without_notes(
    places: Places, locks: Locks, gaps: AbstractSet[int]
) -> dict[int, tuple[Way, ...]]:
    """List the ways to breathe that leave out notes after some gaps."""
    if not gaps or not locks.may_leave_out:
        return {}
    costs = places.breather.costs
    fewer = find_fewer_notes(places.passage, costs, locks.kept)
    known: Freed = {}
    return {
        k: tuple(
            way for notes in fewer[k] for way in _ways_without(places, k, notes, known)
        )
        for k in sorted(gaps)
        if fewer[k]
    }


def _ways_up_to(places: Places, locks: Locks, mark: int) -> dict[int, tuple[Way, ...]]:
    """List the ways to leave out notes just before a mark of the page without time.

    They cost nothing for their place: the breath is where the page has it.
    """
    if not locks.may_leave_out:
        return {}
    part, costs = places.passage.part, places.breather.costs
    found = {}
    for notes in fewer_before_mark(part, mark, costs, locks.kept):
        k = mark - notes.count
        placed = replace(notes, cost=notes.cost - places.gaps[k].place_cost)
        found[k] = _ways_without(places, k, placed, {})
    return found


def _ways_by_hand(places: Places, first: int, last: int) -> tuple[Way, ...]:
    """List the ways to leave out just the notes that the player names."""
    k, breather = first - 1, places.breather
    named = FewerNotes(last - k, breather.costs.leave_out_weight)
    gap, note = places.gaps[k], places.airs[k]
    return _ways_without(places, k, named, {}) or (
        whole_way(gap, note, _freed_s(places, k, named), named, breather),
    )


def _ways_without(
    places: Places, k: int, fewer: FewerNotes, known: Freed
) -> tuple[Way, ...]:
    """List the ways to breathe in a gap that leaving out some notes makes time for."""
    gap, breather = places.gaps[k], places.breather
    draws = draws_without(gap.timing, _freed_s(places, k, fewer), breather, known)
    return place_draws(gap, places.airs[k], draws, fewer, breather)


def _by_hand(places: Places, locks: Locks) -> dict[int, int]:
    """Give the last of the notes named by hand for each gap where they can be left."""
    return {
        first - 1: last
        for first, last in _runs(locks.left_out)
        if first > 0 and last < len(places.gaps)
    }


def _freed_s(places: Places, k: int, fewer: FewerNotes) -> float:
    """Tell how long it is from a note's end to the next after some left out."""
    times = places.passage.times
    return times[k + fewer.count + 1].start - times[k].end


def _runs(notes: frozenset[int]) -> list[tuple[int, int]]:
    """Give the first and last of every run of neighbours."""
    firsts = sorted(note for note in notes if note - 1 not in notes)
    lasts = sorted(note for note in notes if note + 1 not in notes)
    return list(zip(firsts, lasts, strict=True))
