"""The breath before the place where the air ran out: it is there that more is taken."""

from __future__ import annotations

from collections.abc import Sequence

from coach.planning.breath_place import BreathPlace
from coach.rehearsal.review.advice import Standing
from coach.rehearsal.review.marked import missed_before
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import Run

Moment = tuple[int, float]
"""A bar on the page, and a beat in it."""


def first_out(runs: Sequence[Run], bars: tuple[int, int]) -> Moment | None:
    """Give bar and beat at which the air ran out first in some bars, if it did."""
    out = (
        (mark.bar, mark.beat)
        for run in runs
        for mark in run.marks
        if mark.kind is MarkKind.RAN_OUT and bars[0] <= mark.bar <= bars[1]
    )
    return min(out, default=None)


def last_before(
    places: Sequence[BreathPlace], out: Moment | None
) -> BreathPlace | None:
    """Give the last of some places that lies before a moment; None where none does."""
    before = [one for one in places if out and (one.bar, one.beat) < out]
    return before[-1] if before else None


def say_fill_up(here: Standing, bpm: float, newest: Run) -> str:
    """Say where to take more air after a run that ran out, to go on behind a tempo.

    Returns
    -------
    str
        Empty where the air lasted, or nobody knows where these bars are breathed.
    """
    bars = (here.from_bar, here.to_bar)
    out = first_out([newest], bars)
    if out is None:
        return ""
    missed = missed_before([newest], out[0])
    if missed is not None:
        return f", and take the breath in bar {missed}"
    ahead = here.outlook.ask(bars, bpm)
    if ahead is None:
        return ""
    place = last_before(ahead.breath_places, out)
    return f", and fill right up {place or 'before the first note'}"
