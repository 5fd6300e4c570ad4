"""A part laid out for the search: what notes ask, and which ways to breathe there are.

A gap lies between two neighbouring notes.

Long, since every way to breathe at one place is laid out here.

Conventions
-----------
Gaps are named by the index of the note before.  Times are in seconds of run time.
Air is a fraction of capacity; as *depth* it is counted down from half.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise

from coach.planning.air.air import air_of
from coach.planning.breathing.breath_costs import AirCosts, BreathSettings, place_costs
from coach.planning.breathing.breath_ways import (
    ROUNDING,
    Gap,
    Way,
    tight_ways,
    ways_in,
    ways_without,
    whole_way,
)
from coach.planning.breathing.leaving_out import FewerNotes, find_fewer_notes
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import Breather, Passage


@dataclass(frozen=True, slots=True)
class Demand:
    """What one whole note asks of the player."""

    used: float
    """Air that it uses, as a fraction of capacity."""

    sounding_s: float
    """How long it sounds, in seconds."""

    high: float
    """Weight of being high; 0 for other notes."""


@dataclass(frozen=True, slots=True)
class Filling:
    """How breaths fill the lungs, counted down to a whole step of air."""

    half: float
    """Level of half."""

    steps_count: int
    """How many steps the whole capacity has."""

    full_steps: int
    """Steps that a full breath reaches."""

    empty_depth: float
    """Depth beyond which nothing more can be blown."""

    def breathe(self, depth: float, still_empty: float) -> float:
        """Tell the depth after a breath.

        Parameters
        ----------
        depth : float
            Before it; what lies beyond empty counts as empty.
        still_empty : float
            Share of the empty room that stays empty.

        Returns
        -------
        float
            The last whole step that the breath reaches, at most full.
        """
        each = still_empty * self.steps_count
        most = (1.0 - (1.0 - self.half) * still_empty) * self.steps_count + ROUNDING
        level = int(most - each * min(depth, self.empty_depth))
        return self.half - min(level, self.full_steps) / self.steps_count


@dataclass(frozen=True, slots=True)
class Places:
    """A part laid out for the search: all that does not depend on the locks."""

    passage: Passage
    """What is to be breathed."""

    breather: Breather
    """Who breathes."""

    notes: tuple[Demand, ...]
    """What each note asks."""

    used_before: tuple[float, ...]
    """Air used by all notes before each note; at last by all notes."""

    gaps: tuple[Gap, ...]
    """What lies between the notes."""

    ways: tuple[tuple[Way, ...], ...]
    """For each gap, every way to breathe there; shortest first."""

    marked: frozenset[int]
    """Gaps with a mark on the page."""

    costs: AirCosts
    """What lack of air costs."""

    lungs: Filling
    """What a breath gives back."""

    start_depth: float
    """Depth before the first note, after a full breath."""

    ripe_from: tuple[int, ...]
    """For each gap, the last note that a breath may precede to be long enough ago."""

    def in_need(self) -> Places:
        """Give the same where breaths may follow each other sooner."""
        costs = self.breather.costs
        sooner = _ripe_from(self.passage, costs, costs.soonest_in_need_s)
        return replace(self, ripe_from=sooner)


def lay_places(passage: Passage, breather: Breather) -> Places:
    """Lay a passage out for the search: all that does not depend on locks."""
    notes, times, ends = passage.part.notes, passage.times, passage.ends
    player, air, costs = breather.player, breather.air, breather.costs
    airs = [
        air_of(note, time.end - time.start, player, air, factor)
        for note, time, factor in zip(notes, times, passage.effort, strict=True)
    ]
    demands = tuple(
        Demand(
            used=note_air.used_l(note_air.sounding_s) / player.capacity_l,
            sounding_s=note_air.sounding_s,
            high=costs.high_below_half_weight
            if note.sounding.midi >= costs.high_from_midi
            else 0.0,
        )
        for note, note_air in zip(notes, airs, strict=True)
    )
    used_before = [0.0]
    for demand in demands:
        used_before.append(used_before[-1] + demand.used)
    rests_s = [after.start - before.end for before, after in pairwise(times)]
    gaps = tuple(
        Gap(
            note=airs[k],
            length_s=times[k].end - times[k].start,
            rest_s=rests_s[k],
            place_cost=cost,
            phrase_end=ends[k],
            going_on_cost=ends[k] * costs.unused_rest_weight
            if rests_s[k] >= costs.rest_from_s
            else 0.0,
        )
        for k, cost in enumerate(place_costs(passage.part, ends, times, costs))
    )
    return Places(
        passage=passage,
        breather=breather,
        notes=demands,
        used_before=tuple(used_before),
        gaps=gaps,
        ways=tuple(ways_in(gap, breather) for gap in gaps),
        marked=frozenset(k for k, note in enumerate(notes[:-1]) if note.breath_mark),
        costs=AirCosts(
            low_depth=air.half_share - costs.low_share,
            empty_depth=air.half_share - air.empty_share,
            half_weight=costs.below_half_weight,
            low_weight=costs.below_low_weight,
            dry_weight=costs.dry_weight,
            dry_note_weight=costs.dry_note_weight,
        ),
        lungs=Filling(
            half=air.half_share,
            steps_count=costs.air_steps_count,
            full_steps=int(air.full_share * costs.air_steps_count + ROUNDING),
            empty_depth=air.half_share - air.empty_share,
        ),
        start_depth=air.half_share - air.full_share,
        ripe_from=_ripe_from(passage, costs, costs.soonest_s),
    )


def _ripe_from(
    passage: Passage, costs: BreathSettings, soonest_s: float
) -> tuple[int, ...]:
    """Tell for each gap up to which note the last breath must have been.

    A rest that is long enough to be used as it stands is open to everybody, and who
    lets it pass may breathe after it.
    """
    lengths_s = [time.end - time.start for time in passage.times]
    played_s = [0.0, *accumulate(lengths_s)]
    ripe = []
    for k, (time, following) in enumerate(pairwise(passage.times)):
        taken_s = min(lengths_s[k] * costs.most_taken_share, costs.longest_taken_s)
        least_s = played_s[k + 1] - taken_s
        since = bisect_right(played_s, least_s - soonest_s + ROUNDING) - 1
        is_open = following.start - time.end >= costs.enough_rest_s
        ripe.append(k if is_open else since)
    return tuple(accumulate(ripe, max))


@dataclass(frozen=True, slots=True)
class Allowed:
    """The ways that the page and the player leave."""

    ways: tuple[tuple[Way, ...], ...]
    """For each gap, the ways that are allowed; none where no breath may be."""

    forced: tuple[bool, ...]
    """For each gap, whether one of them has to be taken."""

    impossible: tuple[int, ...]
    """Gaps where a breath is asked for and cannot be had."""

    def with_fewer_notes(
        self, places: Places, locks: Locks, gaps: AbstractSet[int]
    ) -> Allowed:
        """Give the same where notes may be left out after some gaps."""
        fewer = _ways_without_notes(places, locks, gaps - locks.must_not)
        ways = [
            (*plain, *fewer[k]) if k in fewer else plain
            for k, plain in enumerate(self.ways)
        ]
        return _bind(ways, self.forced, self.impossible, locks.must_not)


def choose_ways(places: Places, locks: Locks) -> Allowed:
    """Narrow the ways down to what the page and the player ask for.

    Parameters
    ----------
    places : Places
        The part, laid out.
    locks : Locks
        They go before the page's marks, and a gap that is both asked for and
        forbidden is kept free.
    """
    count = len(places.gaps)
    ways = list(places.ways)
    forced = [False] * count
    for k in locks.must_not.intersection(range(count)):
        ways[k] = ()
    runs = _runs(locks.left_out)
    by_hand = {first - 1 for first, _ in runs}
    asked = (locks.must | (places.marked - locks.must_not)) - by_hand
    for k in asked - locks.must_not:
        if 0 <= k < count and not ways[k]:
            ways[k] = tight_ways(places.gaps[k], places.breather)
    tight = {k for k in asked - locks.must_not if 0 <= k < count and not ways[k]}
    for k, fewer in _ways_without_notes(places, locks, tight).items():
        ways[k] = fewer
    impossible = []
    for k in sorted(asked):
        if 0 <= k < count and ways[k]:
            forced[k] = True
        else:
            impossible.append(k)
    for first, last in runs:
        if first > 0 and last < count:
            ways[first - 1] = _ways_by_hand(places, first, last)
            forced[first - 1 : last + 1] = [True] + [False] * (last - first + 1)
        else:
            impossible.append(first - 1)
    return _bind(ways, forced, impossible, frozenset())


def _bind(
    ways: Sequence[tuple[Way, ...]],
    forced: Sequence[bool],
    impossible: Sequence[int],
    must_not: frozenset[int],
) -> Allowed:
    """Take out the ways that leave out notes across a breath that has to be."""
    kept = [
        tuple(
            way
            for way in at_gap
            if not way.left_out
            or not (
                any(forced[k + 1 : k + way.left_out])
                or must_not.intersection(range(k, k + way.left_out + 1))
            )
        )
        for k, at_gap in enumerate(ways)
    ]
    lost = [k for k, is_forced in enumerate(forced) if is_forced and not kept[k]]
    return Allowed(
        ways=tuple(kept),
        forced=tuple(is_forced and k not in lost for k, is_forced in enumerate(forced)),
        impossible=tuple(sorted({*impossible, *lost})),
    )


def _ways_without_notes(
    places: Places, locks: Locks, gaps: AbstractSet[int]
) -> dict[int, tuple[Way, ...]]:
    """List the ways to breathe that leave out notes after some gaps."""
    if not gaps or not locks.may_leave_out:
        return {}
    passage, breather = places.passage, places.breather
    fewer = find_fewer_notes(passage, breather.costs, locks.kept)
    return {
        k: tuple(
            way
            for notes in fewer[k]
            for way in ways_without(
                places.gaps[k], _freed_s(places, k, notes.count), notes, breather
            )
        )
        for k in sorted(gaps)
        if fewer[k]
    }


def _ways_by_hand(places: Places, first: int, last: int) -> tuple[Way, ...]:
    """List the ways to leave out just the notes that the player names."""
    count = last - first + 1
    named = FewerNotes(count, places.breather.costs.leave_out_weight)
    gap = places.gaps[first - 1]
    freed_s = _freed_s(places, first - 1, count)
    return ways_without(gap, freed_s, named, places.breather) or (
        whole_way(gap, freed_s, named, places.breather),
    )


def _freed_s(places: Places, k: int, count: int) -> float:
    """Tell how long it is from a note's end to the next after some left out."""
    times = places.passage.times
    return times[k + count + 1].start - times[k].end


def _runs(notes: frozenset[int]) -> list[tuple[int, int]]:
    """Give the first and last of every run of neighbours."""
    firsts = sorted(note for note in notes if note - 1 not in notes)
    lasts = sorted(note for note in notes if note + 1 not in notes)
    return list(zip(firsts, lasts, strict=True))
