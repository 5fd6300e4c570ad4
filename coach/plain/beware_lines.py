"""What to know of a plan before it is played: what is left out or optional, dry air."""

from __future__ import annotations

from collections.abc import Iterator

from coach.planning.breathing.words.left_out_words import name_left_out
from coach.planning.plan import Plan
from coach.planning.way_out import say_ways_out
from coach.rehearsal.rehearsal import Rehearsal
from coach.rehearsal.stand.stand import MOST_NOTES

OPTIONAL = "(in brackets: optional, the air lasts without them)"
"""Said once where a breath is optional."""


def say_extra(plan: Plan) -> str:
    """Say what the sign of a breath means that only a slow tempo asks for."""
    return f"(+: only at this tempo; at {plan.part.tempo.bpm:g} you play through)"


def beware_lines(rehearsal: Rehearsal) -> Iterator[str]:
    """Say what the next run asks for, and what would do where its air runs out."""
    tell_optional(rehearsal)
    plan = rehearsal.plan
    for breath in plan.breaths.breaths:
        if breath.left_out:
            bar = plan.part.notes[breath.left_out[0]].bar
            names = name_left_out(plan.part, breath.left_out)
            yield f"In bar {bar} leave out {names} to breathe."
    if any(breath.is_optional for breath in plan.breaths.breaths):
        yield OPTIONAL
    yield from plan.breaths.notices
    if plan.breaths.runs_out is not None and len(plan.part.notes) <= MOST_NOTES:
        yield from say_ways_out(rehearsal.ways_out())


def tell_optional(rehearsal: Rehearsal) -> None:
    """Tell optional breaths from sure ones, where that takes no seconds."""
    plan = rehearsal.plan_in_time
    if not rehearsal.knows_optional and len(plan.part.notes) <= MOST_NOTES:
        rehearsal.take_sure(rehearsal.tell_sure(plan))
