"""When a rest is due: how long has been played without one, of whatever etudes."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from coach.rehearsal.run.run import Run


def since_rest(runs: Iterable[Run], now: datetime, rest_s: float) -> float:
    """Tell how long has been played since the last rest, pauses counted in.

    Parameters
    ----------
    runs : iterable of Run
        Of all etudes, in any order; a run may be there twice, and one that lies
        ahead, by a clock that was wrong, counts for nothing.
    now : datetime
        The date and time, with a zone.
    rest_s : float
        A pause this long, in seconds, is a rest.

    Returns
    -------
    float
        Seconds; 0 after a rest.
    """
    begun = now
    for run in sorted(runs, key=lambda run: run.started, reverse=True):
        if not run.was_played or run.started > now:
            continue
        ended = run.started.timestamp() + run.lasted
        if begun.timestamp() - ended >= rest_s:
            break
        begun = run.started
    return (now - begun).total_seconds()
