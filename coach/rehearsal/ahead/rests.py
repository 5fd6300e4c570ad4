"""When a rest is due, and how it is asked for: after so long of whatever etudes."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from coach.rehearsal.review.advice import Advice, Standing, advice_on, say_minutes
from coach.rehearsal.review.ladder_settings import LadderSettings
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


def ask_for_rest(
    played: Iterable[Run], here: Standing, ladder: LadderSettings
) -> Advice | None:
    """Ask for a rest once the rehearsal, of whatever etudes, has gone on for long."""
    played_s = since_rest((*played, *here.day), here.now, ladder.rest_s)
    if played_s < ladder.rest_after_s:
        return None
    return advice_on(
        here,
        "rest",
        here.bpm,
        f"You have played for {say_minutes(played_s)}: rest the lips for "
        f"{say_minutes(ladder.rest_s)}, then go on.",
    )
