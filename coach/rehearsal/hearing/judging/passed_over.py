"""What the player passed over: notes that there was no time for were not missed.

Conventions
-----------
Times are seconds from the take's first sample.
"""

from __future__ import annotations

from collections.abc import Iterator, Set
from itertools import groupby, pairwise

from coach.rehearsal.hearing.alignment.page_leaps import leaves_out_repeat
from coach.rehearsal.hearing.alignment.taken_notes import Taken, TakenLeg
from coach.rehearsal.hearing.due_part import DuePart, bar_of
from coach.rehearsal.hearing.heard import PassedOver, ToldAgainst
from coach.rehearsal.hearing.take_start import TakeStart

HALF = 0.5
"""What had less than half its time was passed over."""


def find_passed_over(
    taken: Taken, due: DuePart, start: TakeStart
) -> tuple[PassedOver, ...]:
    """Find the notes for which there was no time, each once, in order of the take."""
    there = taken.last_of_each()
    told = (
        PassedOver(row[0], row[-1], leaves_out_repeat(due, row[0], row[-1]))
        for first, last, given_s in _ways_on(taken, due, start)
        if given_s < HALF * float(due.notes[last].due - due.notes[first].due)
        for row in _rows(first, last, there.keys())
    )
    return tuple(dict.fromkeys(told))


def _ways_on(
    taken: Taken, due: DuePart, start: TakeStart
) -> Iterator[tuple[int, int, float]]:
    """Give from which note to before which a way leads on, and the time for them.

    A rest before them was kept first.
    """
    first = taken.legs[0].notes[0].note
    yield 0, first, _given_before(taken.legs[0], due, start)
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
