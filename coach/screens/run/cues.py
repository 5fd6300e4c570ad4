"""What the countdown says at a glance."""

from __future__ import annotations

from math import ceil

from coach.planning.plan import Plan
from coach.rehearsal.run.gauge import Glance
from coach.screens.run.countdown import Cue

JUST_BEFORE = 1e-6
"""A beat that is this near counts as reached."""


def cue_of(glance: Glance, plan: Plan, bullet: str) -> Cue:
    """Choose what the player must know at a glance."""
    if glance.is_counting_in:
        return Cue("count", glance.count, "fill up in good time")
    if glance.is_over:
        return Cue("last", None, "the run is over")
    breath = glance.next_breath
    if breath is None or glance.beats_to_breath is None:
        return Cue("last", None, "no more breath")
    bar = plan.part.notes[breath.after_note].bar
    if glance.is_breathing:
        is_full = breath.kind == "full"
        return Cue("in-full" if is_full else "in-catch", None, "next note in time")
    number = ceil(glance.beats_to_breath - JUST_BEFORE)
    if glance.prompt_kind in ("full", "catch"):
        is_full = glance.prompt_kind == "full"
        return Cue("full" if is_full else "catch", number, f"beats {bullet} bar {bar}")
    if bar > glance.bar:
        return Cue("hold", number, f"no breath to bar {bar}")
    return Cue("hold", number, "beats to a breath")


def say_beat(beat: float) -> str:
    """Say a place in a bar, to a hundredth of a beat."""
    return f"{beat:.2f}".rstrip("0").rstrip(".")
