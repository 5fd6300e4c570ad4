"""How a player leaps on the page without a stop: a repeat left out, or once more.

Conventions
-----------
Late is positive, in seconds.  A leap leads from the end of one bar to the start of
another.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from statistics import median

from coach.rehearsal.hearing.alignment.taken_notes import TakenLeg
from coach.rehearsal.hearing.due_part import DuePart, bar_of


def late_of(leg: TakenLeg, due: DuePart) -> float:
    """Tell how late a leg is as a whole, in the time of the take."""
    return median(note.at - float(due.notes[note.note].due) for note in leg.notes)


def leaves_out_repeat(due: DuePart, first: int, last: int) -> bool:
    """Tell whether some notes in a row are one time through a repeat.

    Without them the page goes on all the same: the bar after them is the one that they
    begin with, or the bar before them the one that they end with.
    """
    is_led_on = last + 1 < len(due.notes) and _comes_again(due, first, last + 1)
    return is_led_on or (first > 0 and _comes_again(due, first - 1, last))


def _comes_again(due: DuePart, note: int, later: int) -> bool:
    """Tell whether a note's bar comes again with a later note."""
    page, bar, other = due.page_bars, bar_of(due, note), bar_of(due, later)
    return bool(page) and bar < other and page[bar] == page[other]


def leapt_s(legs: Sequence[TakenLeg], due: DuePart) -> list[float]:
    """Tell how much later than due each leg is by leaps alone, if it is in time.

    A leg follows in time where it comes within half a beat of the end of the bar in
    which the one before it ended.  Who begins with the second time through a repeat has
    leapt to it.
    """
    if not due.bar_starts:
        return [0.0] * len(legs)
    first = legs[0].notes[0].note
    is_leap = first > 0 and leaves_out_repeat(due, 0, first - 1)
    begins = float(due.bar_starts[bar_of(due, first)])
    leapt = [float(due.bar_starts[0]) - begins if is_leap else 0.0]
    for before, leg in pairwise(legs):
        begins = float(due.bar_starts[bar_of(due, leg.notes[0].note)])
        far = _bar_end(due, before.notes[-1].note) - begins
        went = late_of(leg, due) - late_of(before, due)
        is_in_time = abs(went - far) <= due.beat / 2
        leapt.append(leapt[-1] + far if is_in_time else 0.0)
    return leapt


def _bar_end(due: DuePart, note: int) -> float:
    """Tell when the bar of a note is over."""
    following = bar_of(due, note) + 1
    if following < len(due.bar_starts):
        return float(due.bar_starts[following])
    return float(due.notes[-1].written_end)
