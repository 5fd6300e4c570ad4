"""What the player passed over: notes that there was no time for were not missed.

Nor were those that a recording began after.

Conventions
-----------
Times are seconds from the take's first sample.
"""

from __future__ import annotations

from collections.abc import Iterator, Set
from itertools import groupby, pairwise
from statistics import median

from coach.rehearsal.hearing.alignment.page_leaps import leaves_out_repeat
from coach.rehearsal.hearing.alignment.taken_notes import Taken, TakenLeg
from coach.rehearsal.hearing.due_part import DuePart, bar_of
from coach.rehearsal.hearing.heard import PassedOver, ToldAgainst
from coach.rehearsal.hearing.take_start import TakeStart

HALF = 0.5
"""What had less than half its time was passed over."""

FEW_COUNT = 8
"""So many notes tell where the first of them lies."""


def find_passed_over(
    taken: Taken, due: DuePart, start: TakeStart
) -> tuple[PassedOver, ...]:
    """Find the notes for which there was no time, each once, in order of the take."""
    there = taken.last_of_each()
    begins = _recorded_from(taken.legs[0], due, start)
    unrecorded = (
        PassedOver(row[0], row[-1], is_repeat=False, is_recorded=False)
        for row in _rows(0, begins, there.keys())
    )
    told = (
        PassedOver(row[0], row[-1], leaves_out_repeat(due, row[0], row[-1]))
        for first, last, given_s in _ways_on(taken, due, start, begins)
        if given_s < HALF * float(due.notes[last].due - due.notes[first].due)
        for row in _rows(first, last, there.keys())
    )
    return (*unrecorded, *dict.fromkeys(told))


def _recorded_from(leg: TakenLeg, due: DuePart, start: TakeStart) -> int:
    """Name the first note that could be recorded.

    Where only the player's own average tells when the run began, a recording in which
    there was no time for the first note may begin anywhere.  Who begins with the second
    time through a repeat has left out the first.
    """
    first = leg.notes[0].note
    is_known = start.told_against is not ToldAgainst.OWN_AVERAGE
    if (
        is_known
        or not first * len(due.bar_starts)
        or leaves_out_repeat(due, 0, first - 1)
    ):
        return 0
    few = leg.notes[:FEW_COUNT]
    late = median(note.at - float(due.notes[note.note].due) for note in few)
    before = [k for k in range(first) if float(due.notes[k].due) + late < 0]
    bar = [k for k in range(first) if bar_of(due, k) < bar_of(due, first)]
    return max(len(before), len(bar)) if before else 0


def _ways_on(
    taken: Taken, due: DuePart, start: TakeStart, begins: int
) -> Iterator[tuple[int, int, float]]:
    """Give from which note to before which a way leads on, and the time for them.

    A rest before them was kept first.
    """
    first = taken.legs[0].notes[0].note
    if begins < first:
        yield begins, first, _given_before(taken.legs[0], due, start)
    for before, leg in pairwise(taken.legs):
        first, last = before.notes[-1].note + 1, leg.notes[0].note
        if first < last:
            rest = due.notes[first].due - due.notes[first - 1].end
            yield first, last, leg.notes[0].at - before.notes[-1].end - float(rest)


def _given_before(leg: TakenLeg, due: DuePart, start: TakeStart) -> float:
    """Tell how much time there was before the first note that was heard.

    Where only the player's own average tells when the run began, it began with a bar.
    """
    note = leg.notes[0]
    if start.told_against is not ToldAgainst.OWN_AVERAGE:
        return note.at + start.offset - float(due.notes[0].due)
    bars = due.bar_starts or (due.notes[0].due,)
    return float(due.notes[note.note].due - bars[bar_of(due, note.note)])


def _rows(first: int, last: int, there: Set[int]) -> Iterator[list[int]]:
    """Give what is not there from one note to before another, row by row."""
    for is_there, row in groupby(range(first, last), lambda note: note in there):
        if not is_there:
            yield list(row)
