"""Which runs are of today, and where one stands that a wrong clock has dated ahead.

Conventions
-----------
Days are those of the clock that a run was played by, so that midnight needs no zone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from coach.rehearsal.run.run import Run

LONGEST_DAY = timedelta(days=2)
"""No day is longer, wherever its clocks are changed or carried to."""


def of_today(runs: Sequence[Run], now: datetime) -> tuple[Run, ...]:
    """Give the runs of the day that it is now."""
    return tuple(run for run in runs if run.started.date() == now.date())


def since_pause(runs: Iterable[Run], now: datetime, pause_s: float) -> list[Run]:
    """List the runs since the last pause so long, newest first.

    Parameters
    ----------
    runs : iterable of Run
        Of all etudes, in any order; a run may be there twice, and one that lies
        ahead, by a clock that was wrong, counts for nothing.
    now : datetime
        The date and time, with a zone.
    pause_s : float
        In seconds.
    """
    since: list[Run] = []
    begun = now
    for run in sorted(runs, key=lambda run: run.started, reverse=True):
        if run.started > now:
            continue
        if (begun - run.started).total_seconds() - run.lasted >= pause_s:
            break
        begun = run.started
        since.append(run)
    return since


def at_their_place(runs: Sequence[Run], now: datetime) -> tuple[Run, ...]:
    """Give runs in their order, also where a clock that was wrong dated some ahead.

    Parameters
    ----------
    runs : sequence of Run
        Oldest first by their dates.

    Returns
    -------
    tuple of Run
        A run that lies ahead of now stands right after the one that was written before
        it, and has its date; where none was, it stands first.
    """
    ahead = [run for run in runs if run.started > now]
    if not ahead:
        return tuple(runs)
    right = [run for run in runs if run.started <= now]
    first = min((run.started for run in right), default=now)

    def put_right(run: Run) -> Run:
        before = [one for one in right if _written(one) < _written(run)]
        return replace(
            run, started=max(before, key=_written).started if before else first
        )

    placed = [*right, *map(put_right, ahead)]
    return tuple(sorted(placed, key=lambda run: (run.started, _written(run))))


def _written(run: Run) -> int:
    """Tell when a run was written, as its number in the log."""
    return run.id or 0
