"""From what was heard of a run to marks that are proposed for it.

A mark stands where a player would set it: a stretch is marked at its first note, a
breath where it was taken or due.  Amounts follow the house: behind is positive, ahead
negative.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from coach.planning.plan import Plan
from coach.rehearsal.hearing.heard import Heard
from coach.rehearsal.hearing.heard_findings import first_heard
from coach.rehearsal.hearing.judging.missed_breaths import has_rest, missed_breaths
from coach.rehearsal.hearing.telling_settings import TellingSettings
from coach.rehearsal.run.mark import Mark, mark_at
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.score.tempo import Seconds


def heard_marks(
    plan: Plan, heard: Heard, settings: TellingSettings
) -> tuple[Mark, ...]:
    """List the marks that what was heard speaks for, in order of time.

    Returns
    -------
    tuple of Mark
        Each by the microphone; no two of one kind on one beat of one time through.
    """
    marks = (
        *_out_of_time(plan, heard),
        *_ran_out(plan, heard),
        *(
            _mark(plan, MarkKind.MISSED, plan.times[first].start)
            for first in _firsts(sorted({*heard.missed, *heard.wrong}))
        ),
        *(
            _mark(
                plan,
                MarkKind.LATE_AFTER_BREATH,
                plan.times[late.note].start,
                late.behind,
            )
            for late in heard.late_after_breath
        ),
        *_breaths(plan, heard, settings),
    )
    alone = {
        (mark.kind, mark.bar, mark.beat, mark.time): mark for mark in reversed(marks)
    }
    return tuple(sorted(alone.values(), key=lambda mark: mark.at))


def _mark(
    plan: Plan, kind: MarkKind, at: Seconds, amount: Seconds | None = None
) -> Mark:
    """Mark a beat for the microphone."""
    return replace(mark_at(plan, kind, at, "microphone"), amount=amount)


def _out_of_time(plan: Plan, heard: Heard) -> Iterator[Mark]:
    """Mark stretches that were ahead or behind, at their first note.

    Who comes in late and stays so drags from there on.
    """
    if heard.came_in is not None:
        kind = MarkKind.DRAGGED if heard.came_in > 0 else MarkKind.RUSHED
        at = plan.times[first_heard(heard)].start
        yield _mark(plan, kind, at, heard.came_in)
    for kind, stretches in (
        (MarkKind.RUSHED, heard.rushed),
        (MarkKind.DRAGGED, heard.dragged),
    ):
        for stretch in stretches:
            yield _mark(plan, kind, plan.times[stretch.first].start, stretch.behind)


def _ran_out(plan: Plan, heard: Heard) -> Iterator[Mark]:
    """Mark where the sound gave out, inside the note in which it did."""
    if heard.ran_out is not None:
        time = plan.times[heard.ran_out.note]
        at = min(max(heard.ran_out.at, time.start), time.end)
        yield _mark(plan, MarkKind.RAN_OUT, Seconds(at))


def _firsts(notes: Iterable[int]) -> Iterator[int]:
    """Give the first of each row of notes that follow each other."""
    before: int | None = None
    for note in notes:
        if before is None or note > before + 1:
            yield note
        before = note


def _breaths(plan: Plan, heard: Heard, settings: TellingSettings) -> Iterator[Mark]:
    """Mark breaths that were not planned, and planned ones that were not taken."""
    for breath in heard.breaths:
        if not breath.is_planned and not has_rest(plan, breath.after_note):
            at = plan.times[breath.after_note].end
            yield _mark(plan, MarkKind.BREATHED, at)
    for planned in missed_breaths(plan, heard, settings):
        yield _mark(plan, MarkKind.MISSED_BREATH, planned.start)
