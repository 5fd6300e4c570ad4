"""Which breaths are sure: they stand at a little other tempo and air, too."""

from __future__ import annotations

from dataclasses import replace

from coach.planning.breathing.breaths import BreathPlan, plan_breaths
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import Breather, Passage


def find_sure(
    passage: Passage, breather: Breather, plan: BreathPlan, locks: Locks
) -> BreathPlan:
    """Tell sure breaths from optional ones.

    A breath is sure that stands with tempo and air a little up, and a little down;
    the four corners are planned.
    """
    share = breather.costs.sure_within_share
    places = {breath.after_note for breath in plan.breaths}
    for faster in (1.0 - share, 1.0 + share):
        for larger in (1.0 - share, 1.0 + share):
            capacity_l = breather.player.capacity_l * larger
            player = replace(breather.player, capacity_l=capacity_l)
            other = plan_breaths(
                passage.at(passage.bpm * faster),
                replace(breather, player=player),
                locks,
            )
            places &= {breath.after_note for breath in other.breaths}
    return replace(
        plan,
        breaths=tuple(
            replace(breath, is_sure=breath.after_note in places)
            for breath in plan.breaths
        ),
    )
