"""Planned breaths that were surely not taken."""

from __future__ import annotations

from coach.planning.breathing.breaths import Breath
from coach.planning.plan import Plan
from coach.rehearsal.hearing.heard import Heard, HeardNote
from coach.rehearsal.hearing.telling_settings import TellingSettings

HALF = 0.5
"""A note that sounds for more than half of the rest after it was held through it."""


def missed_breaths(
    plan: Plan, heard: Heard, settings: TellingSettings
) -> tuple[Breath, ...]:
    """List the planned breaths that were played through, in order.

    Only where the notes about one were surely heard.  On a rest the sound may sink too
    little for the ear and still be a breath: there it must have been held.
    """
    taken = {breath.after_note for breath in heard.breaths}
    return tuple(
        planned
        for planned in plan.breaths.breaths
        if planned.after_note not in taken
        and planned.following not in heard.began_again
        and _is_sure(heard.notes[planned.after_note], settings)
        and _is_sure(heard.notes[planned.following], settings)
        and (not has_rest(plan, planned.after_note) or _is_held(plan, heard, planned))
    )


def lacking_breaths(
    plan: Plan, heard: Heard, settings: TellingSettings
) -> tuple[Breath, ...]:
    """List those of them that the air was planned to need."""
    missed = missed_breaths(plan, heard, settings)
    return tuple(breath for breath in missed if not breath.is_optional)


def has_rest(plan: Plan, gap: int) -> bool:
    """Tell whether the page has a rest there, so that a gap says nothing."""
    notes = plan.part.notes
    return notes[gap].end < notes[gap + 1].onset


def _is_held(plan: Plan, heard: Heard, planned: Breath) -> bool:
    """Tell whether the note before a rest was held through it."""
    before, after = heard.notes[planned.after_note], heard.notes[planned.following]
    ended, turned = float(before.ended or 0.0), float(after.heard or 0.0)
    rest = planned.next_note - plan.times[planned.after_note].end
    return turned - ended < HALF * rest


def _is_sure(note: HeardNote, settings: TellingSettings) -> bool:
    """Tell whether a note was surely heard."""
    return note.heard is not None and note.confidence >= settings.sure_share
