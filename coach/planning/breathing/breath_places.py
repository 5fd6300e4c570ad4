"""A part laid out for the search: what notes ask, and which ways to breathe there are.

A gap lies between two neighbouring notes.

Conventions
-----------
Gaps are named by the index of the note before.  Times are in seconds of run time.
Air is a fraction of capacity; as *depth* it is counted down from half.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import accumulate

from coach.planning.air.air import NoteAir, blow_notes
from coach.planning.breathing.breath_costs import AirCosts
from coach.planning.breathing.breath_settings import BreathSettings
from coach.planning.breathing.lay_gaps import lay_gaps
from coach.planning.breathing.passage import Breather, Passage
from coach.planning.breathing.ripe_gaps import list_ripe
from coach.planning.breathing.search.air_sums import AirSums, Demand, add_up
from coach.planning.breathing.ways.breath_ways import (
    ROUNDING,
    Gap,
    Way,
    list_ways,
)
from coach.score.note import keys_of

NEVER_TOO_FULL = -float("inf")
"""Depth above every level of air that there is."""


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

    airs: tuple[NoteAir, ...]
    """How each note uses air, from its start."""

    used_before: tuple[float, ...]
    """Air used by all notes before each note; at last by all notes."""

    gaps: tuple[Gap, ...]
    """What lies between the notes."""

    going_on_before: tuple[float, ...]
    """What it costs to play on in all gaps before each note; at last in all."""

    too_full_depth: tuple[float, ...]
    """For each gap, depth before its note up to which no breath is worth taking."""

    too_full_cost: tuple[float, ...]
    """For each gap, what it costs to play on for who is so full: what a breath there
    would cost, if that is less than what others pay."""

    sparing: tuple[int, ...]
    """Gaps where it is less, in order."""

    ways: tuple[tuple[Way, ...], ...]
    """For each gap, every way to breathe there; shortest first."""

    marked: frozenset[int]
    """Gaps with a mark on the page."""

    costs: AirCosts
    """What lack of air costs."""

    sums: AirSums
    """What it costs over any stretch without a breath."""

    lungs: Filling
    """What a breath gives back."""

    start_depth: float
    """Depth before the first note, after a full breath."""

    ripe_from: tuple[int, ...]
    """For each gap, the last note that a breath may precede to be long enough ago."""

    rested_from: tuple[int, ...]
    """For each gap, the last note that a breath may precede to be no snatched one."""

    snatched_cost: float = 0.0
    """What it costs to breathe though the last breath was later than that."""

    def in_need(self, first: int = 0, on_rest_s: float = 0.0) -> Places:
        """Give the same where breaths from a gap on may follow each other sooner.

        Parameters
        ----------
        on_rest_s : float
            What is played at least before one that has a rest to stand on.
        """
        soonest_s = self.breather.costs.soonest_in_need_s
        sooner = list_ripe(self.gaps, self.breather, soonest_s, on_rest_s)
        return replace(
            self,
            ripe_from=self.ripe_from[:first] + sooner[first:],
            snatched_cost=self.breather.costs.snatched_weight,
        )


def lay_places(passage: Passage, breather: Breather) -> Places:
    """Lay a passage out for the search: all that does not depend on locks."""
    notes, air, costs = passage.part.notes, breather.air, breather.costs
    airs = _airs(passage, breather)
    demands = tuple(
        Demand(
            note_air.used_l(note_air.sounding_s) / breather.player.capacity_l,
            note_air.sounding_s,
            costs.high_below_half_weight if key >= costs.high_from_midi else 0.0,
        )
        for note_air, key in zip(airs, keys_of(notes), strict=True)
    )
    lacking = AirCosts(
        low_depth=air.half_share - costs.low_share,
        empty_depth=air.half_share - air.empty_share,
        half_weight=costs.below_half_weight,
        low_weight=costs.below_low_weight,
        dry_weight=costs.dry_weight,
        dry_note_weight=costs.dry_note_weight,
    )
    sums = add_up(demands, lacking)
    gaps = lay_gaps(passage, breather)
    ways = tuple(
        _after_hold(at_gap, costs) if note.has_fermata else at_gap
        for note, at_gap in zip(notes, list_ways(gaps, airs, breather), strict=False)
    )
    going_on = [gap.going_on_cost for gap in gaps]
    too_full_cost = tuple(
        # No way costs less than nothing.
        min([cost, *[way.cost for way in at_gap]]) if cost else cost
        for cost, at_gap in zip(going_on, ways, strict=True)
    )
    ripe_from = list_ripe(gaps, breather, costs.soonest_s, costs.soonest_on_rest_s)
    return Places(
        passage=passage,
        breather=breather,
        notes=demands,
        airs=airs,
        used_before=sums.used,
        gaps=gaps,
        going_on_before=tuple(accumulate((*going_on, 0.0), initial=0.0)),
        too_full_depth=tuple(
            _too_full_depth(at_gap) if cost and not note.has_fermata else NEVER_TOO_FULL
            for note, cost, at_gap in zip(notes, going_on, ways, strict=False)
        ),
        too_full_cost=too_full_cost,
        sparing=tuple(k for k, cost in enumerate(going_on) if too_full_cost[k] < cost),
        ways=ways,
        marked=frozenset(k for k, note in enumerate(notes[:-1]) if note.breath_mark),
        costs=lacking,
        sums=sums,
        lungs=Filling(
            half=air.half_share,
            steps_count=costs.air_steps_count,
            full_steps=int(air.full_share * costs.air_steps_count + ROUNDING),
            empty_depth=air.half_share - air.empty_share,
        ),
        start_depth=air.half_share - air.full_share,
        ripe_from=ripe_from,
        rested_from=ripe_from,
    )


def _airs(passage: Passage, breather: Breather) -> tuple[NoteAir, ...]:
    """Tell how each note uses air."""
    scale, floor_lps = breather.player.flow_scale, breather.air.floor_lps
    blown = blow_notes(passage.part.notes, breather.air)
    return tuple(
        blowing.lasting(time.end - time.start, scale * factor, floor_lps)
        for blowing, time, factor in zip(
            blown, passage.times, passage.effort, strict=True
        )
    )


def _after_hold(ways: tuple[Way, ...], costs: BreathSettings) -> tuple[Way, ...]:
    """Keep the full breaths, where there is time for one: after a hold one fills up."""
    return tuple(way for way in ways if way.gap_s >= costs.full_from_s) or ways


def _too_full_depth(ways: Sequence[Way]) -> float:
    """Tell up to which depth before its note none of a gap's breaths is worth taking.

    Where there is no way to breathe at all, nobody is too full.
    """
    depths = [way.worth_depth - way.used for way in ways]
    return min(depths, default=NEVER_TOO_FULL) - ROUNDING
