"""What is worked on, as shelf and log have it, and what to play of it today."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from math import ceil
from pathlib import Path
from typing import TYPE_CHECKING

from coach.config import player_name, read_settings
from coach.rehearsal.ahead.rests import since_rest
from coach.rehearsal.ahead.today import (
    PlayedToday,
    Today,
    TodaySettings,
    Work,
    lay_today,
)
from coach.rehearsal.review.progress import sum_loud
from coach.rehearsal.stand.segment_choice import time_of_bars
from coach.score.tempo import SECONDS_PER_MINUTE
from coach.wiring.moved_etudes import open_moved
from coach.wiring.open_rehearsal import open_rehearsal, wishes_of
from coach.wiring.player_planner import PlayerPlanner
from coach.wiring.real_shelf import list_etudes
from coach.wiring.rehearsal_numbers import read_rehearsal_settings

if TYPE_CHECKING:
    from coach.edges.log.run_log import RunLogFile
    from coach.rehearsal.review.review import Review
    from coach.screens.shelf.shelf_needs import Etude


def plan_today(
    log: RunLogFile, planner: PlayerPlanner, now: datetime, minutes: float | None
) -> Today:
    """Lay out what to play in so many minutes from now; None for the usual time."""
    settings = read_settings(TodaySettings, "rehearsal", "today")
    ladder = read_rehearsal_settings().ladder
    so_far = _played_today(log, now, ladder.rest_s)
    left_s = settings.usual_s if minutes is None else minutes * SECONDS_PER_MINUTE
    most = settings.etudes_at_once_count * ceil(left_s / ladder.rest_after_s)
    if so_far.since_rest_s >= ladder.rest_after_s:
        now += timedelta(seconds=ladder.rest_s)  # what comes when they have rested
    works: list[Work] = []
    rests = 0
    for etude in _in_turn(log, now, settings.current_days):
        if len(works) - rests >= (1 if etude.last_run is None else most):
            break
        work = _work(etude, log, planner, now)
        rests += work.advice.kind == "rest"
        works.append(work)
    return lay_today(works, so_far, left_s / SECONDS_PER_MINUTE, settings, ladder)


def review_all(log: RunLogFile, planner: PlayerPlanner) -> Iterator[Review]:
    """Review each etude of the shelf that the player has rehearsed, newest first."""
    for etude in _shelf(log):
        if etude.last_run is not None:
            part = open_moved(Path(etude.path))
            here = open_rehearsal(part, planner, log, wishes_of(part))
            yield here.review(planner.air.estimate)


def _in_turn(log: RunLogFile, now: datetime, current_days: float) -> Iterator[Etude]:
    """Give what is worked on and had a night between, then what has not, then new."""
    etudes = _shelf(log)
    since = now - timedelta(days=current_days)
    current = [
        one for one in etudes if one.last_run is not None and one.last_run > since
    ]
    today = [one for one in current if _when(one).date() == now.date()]
    yield from (one for one in current if one not in today)
    yield from today
    yield from (one for one in etudes if one.last_run is None and not one.problem)


def _shelf(log: RunLogFile) -> Sequence[Etude]:
    """Give the whole shelf: what was rehearsed last first, then the easiest."""
    return list(list_etudes(log.tally(player_name()), patience_s=None))


def _when(etude: Etude) -> datetime:
    """Tell when an etude was rehearsed last, by the clock of this place."""
    assert etude.last_run is not None
    return etude.last_run.astimezone()


def _work(etude: Etude, log: RunLogFile, planner: PlayerPlanner, now: datetime) -> Work:
    """Ask what comes next in an etude, and how long a run of that lasts."""
    part = open_moved(Path(etude.path))
    here = open_rehearsal(part, planner, log, wishes_of(part), lambda: now)
    advice = here.review(planner.air.estimate).next
    return Work(
        title=etude.title,
        file=Path(etude.path).stem,
        advice=advice,
        run_s=time_of_bars(part, (advice.from_bar, advice.to_bar), advice.bpm),
        path=etude.path,
        is_new=etude.last_run is None,
    )


def _played_today(log: RunLogFile, now: datetime, rest_s: float) -> PlayedToday:
    """Add up what was played today, of whatever etudes."""
    midnight = now.replace(hour=0, minute=0, second=0, microsecond=0)
    runs = [
        run
        for run in log.list_runs(since=midnight)
        if run.was_played and run.is_of(player_name())
    ]
    return PlayedToday(
        runs=len(runs),
        etudes=len({run.etude_key or run.etude for run in runs}),
        played_s=sum(run.lasted for run in runs),
        loud_s=sum_loud(runs),
        since_rest_s=since_rest(runs, now, rest_s),
    )
