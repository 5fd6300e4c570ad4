"""The breath before the place where the air ran out: it is there that more is taken."""

from __future__ import annotations

from collections.abc import Sequence

from coach.planning.breath_place import BreathPlace
from coach.rehearsal.review.advice import Standing
from coach.rehearsal.review.ladder_settings import LadderSettings
from coach.rehearsal.review.marked import missed_before
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import Run

Moment = tuple[int, float]
"""A bar on the page, and a beat in it."""

FILL_UP = "fill right up"
"""What to do at the breath before; said once."""


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


def say_fill_up(here: Standing, bpm: float, failed: Sequence[Run]) -> str:
    """Say where to take more air after runs that ran out, to go on behind a tempo.

    Parameters
    ----------
    bpm : float
        Tempo of the next run, whose plan is asked.
    failed : sequence of Run
        Runs of these bars that failed, newest first: the first that ran out is told of.

    Returns
    -------
    str
        Empty where the air lasted.
    """
    bars = (here.from_bar, here.to_bar)
    ran_out = [run for run in failed if first_out([run], bars)]
    out = first_out(ran_out[:1], bars)
    if out is None:
        return ""
    missed = missed_before(ran_out[:1], out[0])
    if missed is not None:
        return f", and take the breath in bar {missed}"
    ahead = here.outlook.ask(bars, bpm)
    if ahead is None:
        return f", and breathe before bar {out[0]}"
    place = last_before(ahead.breath_places, out)
    return f", and {FILL_UP} {place or 'before the first note'}"


def say_keeps_running_out(newest: Sequence[Run], ladder: LadderSettings) -> str:
    """Say that one more breath is due where the air ran out again and again.

    Parameters
    ----------
    newest : sequence of Run
        Runs of the bars at hand, oldest first.

    Returns
    -------
    str
        A sentence behind a space; empty where the newest run did not run out, or not
        in a bar in which several of the last ones did.
    """
    last = newest[-ladder.ran_out_among_runs :]
    out = {mark.bar for mark in last[-1].marks if mark.kind is MarkKind.RAN_OUT}
    for bar in sorted(out):
        times = sum(1 for run in last if first_out([run], (bar, bar)))
        if times >= ladder.ran_out_again_runs:
            return (
                f" It ran out in bar {bar} in {times} of the last {len(last)} runs: "
                "breathe once more before it (b on the page of the etude)."
            )
    return ""
