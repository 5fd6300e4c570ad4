"""What a key or the pedal says in a run: a mark, a breath taken, a breath missed.

Values in, values out: whoever keeps the run keeps what comes of it, too.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from coach.planning.naming import say_place, say_time_through
from coach.planning.plan import Plan
from coach.rehearsal.hearing.following.told import BreathTold
from coach.rehearsal.run.breaths_so_far import breath_meant, nearest_gap
from coach.rehearsal.run.mark import A_HAIR, Mark, MarkedBy, mark_at
from coach.rehearsal.run.mark_kinds import FAULTS, MarkKind
from coach.rehearsal.run.under_way import UnderWay
from coach.score.tempo import Seconds


@dataclass(frozen=True, slots=True)
class Noted:
    """A run after something was noted in it."""

    run: UnderWay
    """The run with it."""

    says: str
    """What was done, in one line."""

    mark: Mark | None = None
    """The mark that came or went; None if there was nothing to do."""

    changes_breaths: bool = False
    """Another breath was taken than was planned, so that the rest is planned anew."""

    replaces: tuple[Mark, ...] = ()
    """Marks that went, since the new one says the contrary of the same breath."""


def note_mark(
    plan: Plan, run: UnderWay, kind: MarkKind, at: Seconds, by: MarkedBy
) -> Noted:
    """Mark the beat that sounds at a run time.

    Parameters
    ----------
    at : Seconds
        The run time that is meant.

    Returns
    -------
    Noted
        With the mark; a key that is pressed again in the same beat adds none, and
        gives the one that stands.
    """
    mark = mark_at(plan, kind, at, by)
    return _as_it_stands(plan, run, mark) or note_heard(run, mark)


def note_heard(run: UnderWay, mark: Mark) -> Noted:
    """Keep a mark that is made already, and that says nothing of a breath."""
    says = f"{mark.kind.words.capitalize()}: {_say_where(mark)}"
    if mark.kind in FAULTS and run.called_clean:
        says += "; it is not called clean any more"
    return Noted(run.with_mark(mark), says, mark)


def note_breath(plan: Plan, run: UnderWay, at: Seconds, by: MarkedBy) -> Noted:
    """Note a breath, planned or not, taken at a run time.

    Parameters
    ----------
    at : Seconds
        When it was taken.

    Returns
    -------
    Noted
        With the mark; where there is no gap between notes, or one at which the plan
        breathes already, no more than that.
    """
    mark = mark_at(plan, MarkKind.BREATHED, at, by)
    standing = _as_it_stands(plan, run, mark)
    if standing is not None:
        return standing
    says = f"Breath taken in {_say_where(mark)}"
    gap = nearest_gap(plan.times, at)
    planned = {breath.after_note for breath in plan.breaths.breaths} - run.missed
    if gap is None:
        return Noted(run.with_mark(mark), says, mark)
    noted = _note_instead(plan, run, mark, gap, says)
    if gap in planned:
        return noted
    return replace(noted, run=noted.run.with_breath(gap), changes_breaths=True)


def note_missed_breath(plan: Plan, run: UnderWay, at: Seconds, by: MarkedBy) -> Noted:
    """Note that a planned breath is not taken, or was not, as far as it is near.

    Parameters
    ----------
    at : Seconds
        When the player says so.

    Returns
    -------
    Noted
        With the mark where the breath is due; without one where none is due within
        a beat, or was within a bar.  Said once more of the same breath it adds none.
    """
    planned = run.planned.breaths.breaths if run.planned else ()
    before = [breath for breath in planned if breath.after_note in run.missed]
    missed = breath_meant(plan, at, before)
    if missed is None:
        return Noted(run, "No breath was due here: nothing is changed.")
    mark = mark_at(plan, MarkKind.MISSED_BREATH, missed.start, by)
    standing = _as_it_stands(plan, run, mark)
    if standing is not None:
        return standing
    gap = missed.after_note
    says = f"Breath missed in {_say_where(mark)}"
    noted = _note_instead(plan, run, mark, gap, says)
    return replace(noted, run=noted.run.without_breath(gap), changes_breaths=True)


def _note_instead(plan: Plan, run: UnderWay, mark: Mark, gap: int, says: str) -> Noted:
    """Mark a breath, in the place of what says the contrary of it."""
    others = tuple(
        other
        for other in run.marks_of_breath(gap, plan.times)
        if other.kind is not mark.kind
    )
    for other in others:
        run = run.without_mark(run.marks.index(other))
        says += f", in the place of “{other.kind.words}”"
    return Noted(run.with_mark(mark), says, mark, replaces=others)


def note_told(plan: Plan, run: UnderWay, told: BreathTold) -> Noted | None:
    """Note a breath more or less that the microphone has heard while the run plays.

    Returns
    -------
    Noted or None
        None where that is as planned, or where something was said of it already: the
        player's word stands.
    """
    gap = told.after_note
    planned = {breath.after_note: breath for breath in plan.breaths.breaths}
    is_said = gap in run.breathed | run.missed or run.marks_of_breath(gap, plan.times)
    if is_said or told.is_taken == (gap in planned):
        return None
    if told.is_taken:
        return note_breath(plan, run, plan.times[gap].end, "microphone")
    return note_missed_breath(plan, run, planned[gap].start, "microphone")


NOTES_OF_BREATH: Mapping[
    MarkKind, Callable[[Plan, UnderWay, Seconds, MarkedBy], Noted]
] = {
    MarkKind.BREATHED: note_breath,
    MarkKind.MISSED_BREATH: note_missed_breath,
}
"""Marks that make a new plan of the rest, while a run plays."""


def take_back(run: UnderWay, which: Mark | None = None) -> Noted:
    """Take a mark of a run back.

    Parameters
    ----------
    which : Mark, optional
        One of the run's; the newest if left out.

    Returns
    -------
    Noted
        With the mark that went, and with the breaths as they were before it; without
        one if there was none.
    """
    mark = which or next(reversed(run.marks), None)
    if mark is None or mark not in run.marks:
        return Noted(run, "There is no mark to take back.")
    says = f"Taken back: {mark.kind.words} in bar {mark.bar}"
    before = run.without_mark(run.marks.index(mark))
    changes = (before.breathed, before.missed) != (run.breathed, run.missed)
    return Noted(before, says, mark, changes_breaths=changes)


def _say_where(mark: Mark) -> str:
    """Say where a mark stands, and which time through."""
    return say_place(mark.bar, mark.beat) + say_time_through(mark.time)


def _as_it_stands(plan: Plan, run: UnderWay, mark: Mark) -> Noted | None:
    """Leave a run as it is where a mark of that kind stands on that beat already."""
    for one in run.marks:
        is_same = (one.kind, one.bar, one.beat) == (mark.kind, mark.bar, mark.beat)
        if is_same and _bars_begun(plan, one.at) == _bars_begun(plan, mark.at):
            where = _say_where(mark)
            return Noted(run, f"Marked already: {mark.kind.words}, {where}", one)
    return None


def _bars_begun(plan: Plan, at: Seconds) -> int:
    """Count the bars that have begun, each time that one is played."""
    beats = plan.tempo_map.beats_at(at) + A_HAIR
    return bisect_right(plan.part.bars, beats, key=lambda bar: float(bar.onset))
