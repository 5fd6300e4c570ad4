"""How sure a plan is: which breaths stand elsewhere too, and how near the best it is.

The search proves what no plan undercuts whose breaths are each worth taking.
"""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from dataclasses import replace

from coach.planning.air.air import refill
from coach.planning.breathing.breath_places import lay_places
from coach.planning.breathing.breaths import BreathPlan, plan_breaths
from coach.planning.breathing.locks import NOTHING_LOCKED, Locks
from coach.planning.breathing.passage import Breather, Going, Passage, go_on
from coach.planning.breathing.search.breath_search import least_cost, share_above
from coach.planning.breathing.settle_breaths import settle_breaths

LEAST_SLOWER = 0.5
"""A beat of many seconds is not slowed to nothing: no notch goes below this share."""


def find_sure(
    passage: Passage,
    breather: Breather,
    plan: BreathPlan,
    locks: Locks,
    before_each: Going = go_on,
) -> BreathPlan:
    """Tell sure breaths from those that may move, and which of these are optional.

    A breath is sure that stands in every plan nearby: with tempo and air a little up
    and a little down, and at each of the next notches of tempo.  Of the others those
    are optional without which the air lasts; one that notes are left out for never is.

    Parameters
    ----------
    before_each : callable
        Called before each plan nearby; ends it all by an error of its own.
    """
    own = {breath.after_note for breath in plan.breaths}
    sure = own
    for near, who in _nearby(passage, breather):
        if not sure:
            break
        before_each()
        other = plan_breaths(near, who, locks)
        sure = sure & {breath.after_note for breath in other.breaths}
    told = replace(
        plan,
        breaths=tuple(
            replace(breath, is_sure=breath.after_note in sure)
            for breath in plan.breaths
        ),
    )
    return mark_optional(told, _optional(told, breather))


def _optional(plan: BreathPlan, breather: Breather) -> frozenset[int]:
    """Pick the breaths without which the air lasts, all of them passed by together.

    Those that give least are passed by first: most of what is said to be needed is.
    """
    loose = [b for b in plan.breaths if not (b.is_sure or b.left_out)]
    optional: frozenset[int] = frozenset()
    for breath in sorted(loose, key=lambda b: b.air_after - b.air_before):
        more = optional | {breath.after_note}
        if _lasts_without(plan, more, breather):
            optional = more
    return optional


def _lasts_without(
    plan: BreathPlan, skipped: AbstractSet[int], breather: Breather
) -> bool:
    """Tell whether the other breaths carry the player above the planning floor.

    What is missing without a breath gets less with each one that is taken after it.

    Parameters
    ----------
    skipped : set of int
        Notes whose breaths are passed by.
    """
    lost, first = 0.0, 0
    floor = breather.costs.low_share
    for breath in plan.breaths:
        if lost and _lowest(plan, first, breath.after_note) - lost < floor:
            return False
        if breath.after_note in skipped:
            blown_l = plan.flow_lps[breath.after_note] * breath.taken
            lost += breath.air_after - breath.air_before
            lost += blown_l / breather.player.capacity_l
        else:
            left = breath.air_before - lost
            filled = refill(left, breath.gap, breather.air, is_gasp=breath.is_gasp)
            lost = max(0.0, breath.air_after - filled)
        first = breath.following
    return not lost or _lowest(plan, first, len(plan.ends) - 1) - lost >= floor


def _lowest(plan: BreathPlan, first: int, last: int) -> float:
    """Give the least air at the end of some notes."""
    return min(plan.air_after[first : last + 1])


def _nearby(passage: Passage, breather: Breather) -> Iterator[tuple[Passage, Breather]]:
    """Give the four corners of tempo and air, then each notch of tempo around."""
    costs, player = breather.costs, breather.player
    shares = (1.0 - costs.sure_within_share, 1.0 + costs.sure_within_share)
    for faster in shares:
        near = passage.at(passage.bpm * faster)
        for larger in shares:
            other = replace(player, capacity_l=player.capacity_l * larger)
            yield near, replace(breather, player=other)
    for notches in range(1, costs.sure_within_bpm + 1):
        slower = max(passage.bpm - notches, passage.bpm * LEAST_SLOWER)
        for bpm in (slower, passage.bpm + notches):
            yield passage.at(bpm), breather


def mark_optional(plan: BreathPlan, optional: AbstractSet[int]) -> BreathPlan:
    """Mark the breaths after some notes as optional, and no others."""
    return replace(
        plan,
        breaths=tuple(
            replace(breath, is_optional=breath.after_note in optional)
            for breath in plan.breaths
        ),
    )


def prove_breaths(
    passage: Passage,
    breather: Breather,
    plan: BreathPlan,
    locks: Locks = NOTHING_LOCKED,
) -> float:
    """Tell by how much a plan could be cheaper at most.

    Parameters
    ----------
    plan : BreathPlan
        The plan, made for both.

    Returns
    -------
    float
        As a share of the plan's cost; 0 where no plan is cheaper.  What demands
        beside the cost are worth lies in it: that passes of a repeat are breathed
        alike, that a plan is held on to.
    """
    settled = settle_breaths(lay_places(passage, breather), locks)
    bound = least_cost(settled.places, settled.allowed)
    return share_above(plan.cost, bound - settled.allowed.besides(plan.places))
