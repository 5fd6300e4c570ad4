"""What the countdown says at a glance."""

from __future__ import annotations

from math import ceil

from coach.planning.plan import Plan
from coach.rehearsal.gauge import Glance
from coach.screens.widgets.countdown import Cue

JUST_BEFORE = 1e-6
"""A beat that is this near counts as reached."""


def cue_of(glance: Glance, plan: Plan) -> Cue:
    """Choose what the player must know at a glance."""
    if glance.is_counting_in:
        return Cue("count", glance.count, "count-in: fill up before the first beat")
    if glance.is_over:
        return Cue("last", None, "the run is over")
    breath = glance.next_breath
    if breath is None or glance.beats_to_breath is None:
        return Cue("last", None, "no more breath: play to the end")
    note = plan.part.notes[breath.after_note]
    where = f"after bar {note.bar}, beat {say_beat(float(note.beat))}"
    if glance.is_breathing:
        return Cue("in", None, "breathe; the next note is in time")
    number = ceil(glance.beats_to_breath - JUST_BEFORE)
    if glance.prompt_kind == "catch":
        return Cue("catch", number, f"beats, then top off {where}")
    if glance.prompt_kind == "full":
        return Cue("full", number, f"beats, then a full breath {where}")
    return Cue("hold", number, f"no breath until bar {note.bar}")


def say_beat(beat: float) -> str:
    """Say a place in a bar, to a quarter of a beat."""
    return f"{beat:.2f}".rstrip("0").rstrip(".")
