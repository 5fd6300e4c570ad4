"""The air at every moment of a plan: exact, also inside a note and inside a breath.

Inside a note the level follows the flow's integral; inside a breath it follows the
filling of the lungs; in between it stands still.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

from coach.planning.air.air import NoteAir, blow_notes, refill
from coach.planning.air.air_settings import AirSettings
from coach.planning.breathing.breaths import BreathPlan
from coach.planning.breathing.passage import Breather, Passage
from coach.score.tempo import Seconds


@dataclass(frozen=True, slots=True)
class SoundingAir:
    """Air while a note sounds."""

    start: Seconds
    """When it begins."""

    level: float
    """Air at its start, as a fraction of capacity."""

    note: NoteAir
    """How it uses air."""

    share_per_l: float
    """Fraction of capacity that a litre of the model is, tongue and arm taken in."""

    least: float
    """Air at its end, as a fraction of capacity: empty where the player is dry."""

    def level_at(self, time: Seconds) -> float:
        """Tell the air at a moment from its start on."""
        used = self.note.used_l(time - self.start) * self.share_per_l
        return max(self.least, self.level - used)


@dataclass(frozen=True, slots=True)
class Breathing:
    """Air while the player breathes in."""

    start: Seconds
    """When it begins."""

    level: float
    """Air at its start, as a fraction of capacity."""

    top: float
    """Air at its end, as a fraction of capacity."""

    air: AirSettings
    """The air model."""

    is_gasp: bool
    """Drawn as fast as the player can."""

    def level_at(self, time: Seconds) -> float:
        """Tell the air at a moment from its start on."""
        filled = refill(self.level, time - self.start, self.air, is_gasp=self.is_gasp)
        return min(self.top, filled)


@dataclass(frozen=True, slots=True)
class Still:
    """Air while neither happens."""

    start: Seconds
    """When it begins."""

    level: float
    """Air all along, as a fraction of capacity."""

    def level_at(self, time: Seconds) -> float:  # noqa: ARG002 (the same for all kinds)
        """Tell the air at a moment."""
        return self.level


AirStretch = SoundingAir | Breathing | Still


@dataclass(frozen=True, slots=True)
class AirLevels:
    """The air over a whole run."""

    starts: tuple[Seconds, ...]
    """When each stretch begins, in order."""

    stretches: tuple[AirStretch, ...]
    """What happens from then on."""

    def level_at(self, time: Seconds) -> float:
        """Tell the air at a run time, as a fraction of capacity.

        Parameters
        ----------
        time : Seconds
            Run time; before the first note the lungs are full.

        Returns
        -------
        float
            The level, below empty where the player would be dry.
        """
        k = max(0, bisect_right(self.starts, time) - 1)
        stretch = self.stretches[k]
        return stretch.level_at(Seconds(max(time, stretch.start)))


def lay_air_levels(passage: Passage, plan: BreathPlan, breather: Breather) -> AirLevels:
    """Lay out the air of a plan: it meets the plan's at each note's start and end."""
    player, air = breather.player, breather.air
    breaths = {breath.after_note: breath for breath in plan.breaths}
    left_out = frozenset(plan.left_out)
    stretches: list[AirStretch] = []
    blown = blow_notes(passage.part.notes, air)
    for k, (blowing, time) in enumerate(zip(blown, passage.times, strict=True)):
        if k in left_out:
            continue
        stop = plan.ends[k]
        before, after = plan.air_before[k], plan.air_after[k]
        lasts_s = time.end - time.start
        note_air = blowing.lasting(lasts_s, player.flow_scale, air.floor_lps)
        modelled_l = note_air.used_l(stop - time.start)
        asked = plan.flow_lps[k] * (stop - time.start) / player.capacity_l
        is_dry = plan.runs_out is not None and after <= air.empty_share
        used = asked if is_dry else before - after
        # A note that a breath takes whole sounds for no time and uses no air.
        share = used / modelled_l if modelled_l > 0 else 0.0
        stretches.append(SoundingAir(time.start, before, note_air, share, after))
        if k in breaths:
            breath = breaths[k]
            stretches.append(
                Breathing(stop, after, breath.air_after, air, breath.is_gasp)
            )
        else:
            stretches.append(Still(stop, after))
    return AirLevels(tuple(stretch.start for stretch in stretches), tuple(stretches))
