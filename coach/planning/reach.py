"""How far the air reaches: at which tempo, loudness and capacity a phrase goes.

Played in one breath, a phrase takes air in proportion to its time: half the tempo
takes twice the air.  So the slowest tempo that works, and the capacity that would
be needed, follow from one adding up.  What breaths make of it at each tempo is
planned anew for each.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, takewhile
from math import ceil, floor, inf

from coach.planning.air.air import air_of
from coach.planning.breath_place import place_within
from coach.planning.breathing.breaths import BreathPlan, plan_breaths
from coach.planning.breathing.locks import NOTHING_LOCKED, Locks
from coach.planning.breathing.passage import Breather, Passage
from coach.planning.breathing.sure_breaths import find_sure
from coach.score.phrase import Place
from coach.score.tempo import Seconds


@dataclass(frozen=True, slots=True)
class OneBreath:
    """A phrase in one breath, at one loudness."""

    shift_steps: float
    """Steps louder than the page; below 0 softer."""

    slowest_bpm: float
    """Slowest tempo at which one breath is enough, in the part's beat."""

    slowest_on_top_half_bpm: float
    """Slowest tempo at which one breath also stays on the top half."""

    needed_l: float
    """Capacity for one breath at the goal tempo, in litres."""

    runs_out: Place | None
    """Bar and beat in which the air is gone at the goal tempo; None if it lasts."""


@dataclass(frozen=True, slots=True)
class ReachPoint:
    """What the plan comes to at one tempo."""

    bpm: float
    """Tempo, in the part's beat."""

    breaths: int
    """How many the plan has."""

    lowest_air: float
    """Least air anywhere, as a fraction of capacity."""

    below_half_share: float
    """Time played below half, as a share from the first note to the last."""

    runs_out: Place | None
    """Bar and beat in which the air is first gone; None if it never is."""

    cost: float
    """How much the plan disturbs the music and the player."""

    optional: int = 0
    """How many of the breaths are not sure, and the air lasts without; told at the
    goal only."""

    @property
    def works(self) -> bool:
        """The air lasts."""
        return self.runs_out is None

    def stays_above(self, level: float) -> bool:
        """Tell whether the air lasts and never falls below a level."""
        return self.works and self.lowest_air >= level


@dataclass(frozen=True, slots=True)
class Reach:
    """How far the air reaches in a phrase."""

    goal_bpm: float
    """The page's tempo, in the part's beat."""

    rows: tuple[OneBreath, ...]
    """In one breath, for each loudness asked for."""

    points: tuple[ReachPoint, ...]
    """With breaths as planned, for each tempo asked for, as the page is marked."""

    empty_air: float
    """Level below which nothing more can be blown, as a fraction of capacity."""

    half_air: float
    """Level of the top half's lower edge, as a fraction of capacity."""

    top_half_from_bpm: float | None = None
    """Slowest tempo from which on no plan leaves the top half, to the next whole one;
    None where it was not looked for between the tempi asked for."""

    fastest_bpm: float = inf
    """Beyond it nobody plays: what works only there works at no tempo."""

    largest_l: float = inf
    """Larger lungs nobody has, in litres."""

    def upheld(self) -> tuple[ReachPoint, ...]:
        """Give the fastest of its points up to the first that leaves the top half."""
        fastest_first = takewhile(
            lambda point: point.stays_above(self.half_air), reversed(self.points)
        )
        return tuple(fastest_first)[::-1]


def find_reach(
    passage: Passage,
    breather: Breather,
    *,
    bpms: Sequence[float],
    shifts: Sequence[float],
    locks: Locks = NOTHING_LOCKED,
) -> Reach:
    """Tell how far the air reaches.

    Parameters
    ----------
    bpms : sequence of float
        Tempi to plan at, in the part's beat.
    shifts : sequence of float
        Steps louder (or, below 0, softer) than the page to add up for.
    """
    points = []
    for bpm in sorted(bpms):
        there = passage.at(bpm)
        plan = plan_breaths(there, breather, locks)
        if bpm == passage.bpm:
            plan = find_sure(there, breather, plan, locks)
        points.append(_point(there, plan))
    reach = Reach(
        goal_bpm=passage.bpm,
        rows=tuple(one_breath(passage, shift, breather) for shift in shifts),
        points=tuple(points),
        empty_air=breather.air.empty_share,
        half_air=breather.air.half_share,
    )
    slowest = _top_half_from(reach, passage, breather, locks)
    return replace(reach, top_half_from_bpm=slowest)


def _top_half_from(
    reach: Reach, passage: Passage, breather: Breather, locks: Locks
) -> float | None:
    """Go on from the slowest point on the top half, a whole tempo at a time.

    Only down to the next point, which leaves it; None where none does, or all do.
    """
    upheld = reach.upheld()
    if len(upheld) in (0, len(reach.points)):
        return None
    slowest = upheld[0].bpm
    leaves = reach.points[-len(upheld) - 1].bpm
    for bpm in range(ceil(slowest) - 1, floor(leaves), -1):
        there = passage.at(float(bpm))
        if not _point(there, plan_breaths(there, breather, locks)).stays_above(
            reach.half_air
        ):
            break
        slowest = float(bpm)
    return slowest


def _point(passage: Passage, plan: BreathPlan) -> ReachPoint:
    """Sum a plan up."""
    sounding = plan.ends[-1] - passage.times[0].start
    return ReachPoint(
        bpm=passage.bpm,
        breaths=len(plan.breaths),
        lowest_air=plan.lowest_air,
        below_half_share=plan.below_half / sounding,
        runs_out=None if plan.runs_out is None else plan.dry_place(plan.runs_out),
        cost=plan.cost,
        optional=sum(breath.is_optional for breath in plan.breaths),
    )


def one_breath(passage: Passage, shift_steps: float, breather: Breather) -> OneBreath:
    """Tell how far one breath reaches at one loudness, from the passage's tempo.

    Parameters
    ----------
    shift_steps : float
        Steps louder (or, below 0, softer) than the page.
    """
    player, air = breather.player, breather.air
    notes = passage.louder(shift_steps).part.notes
    used_l = []
    for note, time, effort in zip(notes, passage.times, passage.effort, strict=True):
        note_air = air_of(note, time.end - time.start, player, air, effort)
        used_l.append(note_air.used_l(note_air.sounding_s))
    sums_l = list(accumulate(used_l))
    whole = air.full_share - air.empty_share
    top = air.full_share - air.half_share
    share = sums_l[-1] / player.capacity_l
    return OneBreath(
        shift_steps=shift_steps,
        slowest_bpm=passage.bpm * share / whole,
        slowest_on_top_half_bpm=passage.bpm * share / top,
        needed_l=sums_l[-1] / whole,
        runs_out=_crossing(passage, sums_l, whole * player.capacity_l),
    )


def _crossing(
    passage: Passage, sums_l: Sequence[float], limit_l: float
) -> Place | None:
    """Find the beat in which more than `limit_l` is used; None if never."""
    k = bisect_right(sums_l, limit_l)
    if k == len(sums_l):
        return None
    before = sums_l[k - 1] if k else 0.0
    time = passage.times[k]
    share = (limit_l - before) / (sums_l[k] - before)
    moment = Seconds(time.start + share * (time.end - time.start))
    return place_within(passage.part, passage.tempo_map, k, moment)
