"""The air of a plan for a player at either end of the band: what a gauge can show.

Conventions
-----------
Levels of air are fractions of capacity, below empty where the player would be dry.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, replace
from itertools import pairwise

from coach.planning.air.air_settings import AirSettings
from coach.planning.plan import Plan
from coach.rehearsal.learning.candidates import air_as
from coach.rehearsal.learning.learning import AirEstimate
from coach.rehearsal.learning.replaying import (
    BreathStretch,
    Whom,
    at_step,
    filled,
    lay_notes,
    lay_stretches,
)
from coach.rehearsal.run.evidence import TakenBreath, evidence_of
from coach.score.tempo import Seconds

NO_GAPS: frozenset[int] = frozenset()


@dataclass(frozen=True, slots=True)
class LevelBand:
    """The air of a plan between the ends of what is believed."""

    stretches: tuple[BreathStretch, ...]
    """Notes of each breath."""

    flows: tuple[float, float]
    """Flow scale of the heaviest and of the lightest player in the band."""

    tops: tuple[tuple[float, float], ...]
    """Air of the two at the start of each stretch."""

    air: AirSettings
    """How a breath fills them."""

    def levels_at(self, time: Seconds) -> tuple[float, float]:
        """Tell the least and the most air at a run time, within a breath too."""
        begun = bisect_right([stretch.begins_s for stretch in self.stretches], time)
        k = max(0, begun - 1)
        used = self.stretches[k].used_by(time)
        breath = self._breath_going_on(k, time)
        least, most = (
            filled(top - flow * used, breath, self.air)
            for top, flow in zip(self.tops[k], self.flows, strict=True)
        )
        return least, most

    def _breath_going_on(self, k: int, time: Seconds) -> TakenBreath | None:
        """Give the breath after a stretch as far as it has come; None before it."""
        following = self.stretches[k + 1 : k + 2]
        breath = following[0].breath if following else None
        if breath is None or time <= breath.start_s:
            return None
        return replace(breath, end_s=time)


def lay_level_band(plan: Plan, estimate: AirEstimate, whom: Whom) -> LevelBand:
    """Lay out the air of a plan for both ends of the band.

    Parameters
    ----------
    plan : Plan
        With its breaths, which both take.

    Returns
    -------
    LevelBand
        With the middle step of dynamics and intake that are believed.
    """
    evidence = evidence_of(plan, NO_GAPS, NO_GAPS)
    notes = [
        at_step(*note, estimate.step_power, whom.air)
        for note in lay_notes(evidence, whom)
    ]
    stretches = lay_stretches(evidence, notes, whom.player.capacity_l)
    air = air_as(whom.air, estimate.step_power, estimate.fill_factor)
    flows = (estimate.high, estimate.low)
    tops = [(air.full_share, air.full_share)]
    for before, after in pairwise(stretches):
        heavy, light = (
            filled(top - flow * before.used[-1], after.breath, air)
            for top, flow in zip(tops[-1], flows, strict=True)
        )
        tops.append((heavy, light))
    return LevelBand(stretches, flows, tuple(tops), air)
