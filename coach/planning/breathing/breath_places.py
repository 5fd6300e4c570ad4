"""Where a breath can be taken, and every way to take it.

A gap lies between two neighbouring notes.  A way to breathe there uses the written
rest as it stands, or takes time from the note before; the note after never moves.

Conventions
-----------
Gaps are named by the index of the note before.  Times are in seconds of run time.
Air is a fraction of capacity; as *depth* it is counted down from half.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise

from coach.planning.air.air import NoteAir, air_of, still_empty
from coach.planning.breathing.breath_costs import AirCosts, place_costs
from coach.planning.breathing.passage import Breather, Passage

ROUNDING = 1e-9
"""Far below any time or share of air that matters, far above what floats lose."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way to breathe in a gap."""

    gap_s: float
    """Time to breathe."""

    taken_s: float
    """Taken from the written length of the note before; 0 on a rest."""

    cost: float
    """What it costs the music, place and all."""

    used: float
    """Air that the note before now uses, as a fraction of capacity."""

    sounding_s: float
    """How long the note before now sounds."""

    still_empty: float
    """Share of the empty room that stays empty after it."""


@dataclass(frozen=True, slots=True)
class Gap:
    """What all ways to breathe in one gap have in common."""

    note: NoteAir
    """How the note before uses air."""

    length_s: float
    """Written length of the note before."""

    rest_s: float
    """Written rest; 0 where the notes touch."""

    place_cost: float
    """What a breath here costs the music, however long."""

    phrase_end: float
    """How likely a phrase ends here, 0 to 1."""

    going_on_cost: float
    """What it costs to play on without a breath: more than 0 only on a rest."""


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
        ways=tuple(_ways(gap, breather) for gap in gaps),
        marked=frozenset(k for k, note in enumerate(notes[:-1]) if note.breath_mark),
        costs=AirCosts(
            low_depth=air.half_share - costs.low_share,
            empty_depth=air.half_share - air.empty_share,
            half_weight=costs.below_half_weight,
            low_weight=costs.below_low_weight,
            dry_weight=costs.dry_weight,
        ),
        lungs=Filling(
            half=air.half_share,
            steps_count=costs.air_steps_count,
            full_steps=int(air.full_share * costs.air_steps_count + ROUNDING),
            empty_depth=air.half_share - air.empty_share,
        ),
        start_depth=air.half_share - air.full_share,
    )


def _ways(gap: Gap, breather: Breather) -> tuple[Way, ...]:
    """List the ways to breathe in a gap, shortest first."""
    costs = breather.costs
    rest_s, lengths = gap.rest_s, costs.breath_lengths_s
    ways = []
    if rest_s >= costs.shortest_breath_s:
        ways.append(_way(gap, rest_s, breather))
    if rest_s < costs.enough_rest_s:
        most_s = rest_s + gap.length_s * costs.most_taken_share
        last = bisect_right(lengths, most_s)
        first = max(
            bisect_right(lengths, rest_s + ROUNDING), last - costs.most_ways_count
        )
        ways += [_way(gap, length, breather) for length in lengths[first:last]]
    return tuple(ways)


def _way(gap: Gap, gap_s: float, breather: Breather) -> Way:
    """Weigh a breath of one length."""
    costs = breather.costs
    taken_s = gap_s - gap.rest_s
    whole_s = plays_s = gap.note.sounding_s
    cost = gap.place_cost
    if taken_s > 0.0:
        plays_s = min(whole_s, gap.length_s - taken_s)
        lost_s = whole_s - plays_s
        cost += costs.off_rest_weight * (1.0 - gap.phrase_end)
        cost += costs.taken_s_weight * lost_s
        cost += costs.taken_weight * (lost_s / whole_s) ** 2
    return Way(
        gap_s=gap_s,
        taken_s=taken_s,
        cost=cost,
        used=gap.note.used_l(plays_s) / breather.player.capacity_l,
        sounding_s=plays_s,
        still_empty=still_empty(gap_s, breather.air),
    )


def choose_ways(
    places: Places, must: frozenset[int], must_not: frozenset[int]
) -> tuple[list[tuple[Way, ...]], list[bool], list[int]]:
    """Narrow the ways down to what the page and the player ask for.

    Parameters
    ----------
    places : Places
        The part, laid out.
    must, must_not : frozenset of int
        The player's locks; they go before the page's marks, and a gap in both
        is kept free.

    Returns
    -------
    ways : list of tuple of Way
        For each gap, the ways that are allowed; none where no breath may be.
    forced : list of bool
        For each gap, whether one of them has to be taken.
    impossible : list of int
        Gaps where a breath is asked for and cannot be had.
    """
    ways = list(places.ways)
    forced = [False] * len(ways)
    impossible = []
    for k in must_not.intersection(range(len(ways))):
        ways[k] = ()
    for k in sorted(must | (places.marked - must_not)):
        if 0 <= k < len(ways) and ways[k]:
            forced[k] = True
        else:
            impossible.append(k)
    return ways, forced, impossible
