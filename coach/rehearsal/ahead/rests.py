"""When a rest is due, and how it is asked for: after so long, or by who is tired."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from coach.rehearsal.ahead.body_words import find_tired
from coach.rehearsal.ahead.run_dates import since_pause
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
    first = min(_starts_since_rest(runs, now, rest_s), default=now)
    return (now - first).total_seconds()


def _starts_since_rest(
    runs: Iterable[Run], now: datetime, rest_s: float
) -> dict[datetime, float]:
    """Give each run since the last rest by its start: how long it was played."""
    played = (run for run in runs if run.was_played)
    return {run.started: run.lasted for run in since_pause(played, now, rest_s)}


def ask_for_rest(
    played: Iterable[Run], here: Standing, ladder: LadderSettings
) -> Advice | None:
    """Ask for a rest once the rehearsal, of whatever etudes, has gone on for long.

    Or where the newest run's words say that the player is tired.  How much was played
    is said as the review counts it, count-ins left out.
    """
    runs = (*played, *here.day)
    newest = since_pause(runs, here.now, ladder.rest_s)[:1]
    tired = find_tired(newest[0].note, here.body) if newest else ""
    if tired:
        return advice_on(
            here,
            "rest",
            here.bpm,
            f"You said “{tired}”: rest the lips as long as you have played, for "
            f"{say_minutes(ladder.rest_s)} at least, then go on.",
        )
    gone_s = since_rest(runs, here.now, ladder.rest_s)
    if gone_s < ladder.rest_after_s:
        return None
    played_s = sum(_starts_since_rest(runs, here.now, ladder.rest_s).values())
    return advice_on(
        here,
        "rest",
        here.bpm,
        f"{say_minutes(gone_s)} without a rest, {say_minutes(played_s)} of it played: "
        f"rest the lips for {say_minutes(ladder.rest_s)}, then go on.",
    )
