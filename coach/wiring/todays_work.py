"""What is worked on, as shelf and log have it, and what to play of it today."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import islice
from math import ceil
from pathlib import Path
from typing import TYPE_CHECKING

from coach.config import player_name, read_settings, shipped
from coach.edges.scores.etude_shelf import player_folder
from coach.edges.scores.other_places import list_places
from coach.errors import CoachError
from coach.planning.instrument.range_fit import fitting_shift, say_fit
from coach.planning.transposing import say_shift, title_on_page
from coach.rehearsal.ahead.laying_today import lay_today
from coach.rehearsal.ahead.rests import since_rest
from coach.rehearsal.ahead.run_dates import LONGEST_DAY, of_today
from coach.rehearsal.ahead.today import (
    PlayedToday,
    Today,
    TodaySettings,
    Work,
)
from coach.rehearsal.review.progress import sum_loud
from coach.rehearsal.stand.segment_choice import time_of_bars
from coach.score.etude_key import key_of
from coach.score.page_facts import span_of
from coach.score.plain_text import copied
from coach.score.tempo import SECONDS_PER_MINUTE
from coach.wiring.moved_etudes import open_moved
from coach.wiring.open_rehearsal import open_rehearsal, wishes_of
from coach.wiring.player_planner import PlayerPlanner
from coach.wiring.real_shelf import describe, list_etudes
from coach.wiring.rehearsal_numbers import read_rehearsal_settings

if TYPE_CHECKING:
    from coach.edges.log.run_log import RunLogFile
    from coach.planning.instrument.instrument import Instrument
    from coach.rehearsal.review.etude_tally import Tallies
    from coach.rehearsal.review.review import Review
    from coach.score.etude_key import EtudeKey
    from coach.screens.shelf.shelf_needs import Etude

FIRST_NEW = 2
"""So many etudes are begun where none is worked on."""


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
    shelf = _shelf(log)
    since = now - timedelta(days=settings.current_days)
    current, new = _in_turn(shelf, now, since)
    works: list[Work] = []
    for etude in current:
        works.append(_work(etude, log, planner, now))
        if sum(_is_open(work) for work in works) == most:
            break
    # Something new for a change, where little is worked on.
    room = settings.etudes_at_once_count - sum(_is_open(work) for work in works)
    few = FIRST_NEW if not current else 1
    playable = (one for one in new if not _say_fit(one, planner))
    begun = list(islice(playable, max(0, min(few, room))))
    works += [_work(one, log, planner, now) for one in begun]
    why_bare = "" if works or not new else _say_none_fits(new, planner.instrument)
    laid = lay_today(
        works,
        so_far,
        left_s / SECONDS_PER_MINUTE,
        settings,
        ladder,
        _not_on_shelf(shelf, log, since),
    )
    is_guess = not current and any(one.is_shipped for one in begun[:1])
    return replace(laid, why_bare=why_bare, is_guess=is_guess)


def review_all(log: RunLogFile, planner: PlayerPlanner) -> Iterator[Review]:
    """Review each etude of the shelf that the player has rehearsed, newest first."""
    for etude in _shelf(log):
        if etude.last_run is not None:
            part = open_moved(Path(etude.path))
            here = open_rehearsal(part, planner, log, wishes_of(part))
            yield here.review(planner.air.estimate)


def _in_turn(
    etudes: Sequence[Etude], now: datetime, since: datetime
) -> tuple[Sequence[Etude], Sequence[Etude]]:
    """Give what is worked on, after a night first, and what is new, the nearest first.

    New is next what the player has put on the shelf; then what is a little harder than
    all that is worked on, or else what is hardest of the rest.
    """
    current = [
        one for one in etudes if one.last_run is not None and one.last_run > since
    ]
    today = [one for one in current if _when(one).date() == now.date()]
    new = [one for one in etudes if one.last_run is None and not one.problem]
    pace = max((one.notes_per_s for one in current), default=0.0)
    new.sort(
        key=lambda one: (
            one.is_shipped,
            one.notes_per_s < pace,
            abs(one.notes_per_s - pace),
        )
    )
    return [one for one in current if one not in today] + today, new


def _is_open(work: Work) -> bool:
    """Tell whether more of it may be played today."""
    return work.advice.kind != "rest"


def _not_on_shelf(
    etudes: Sequence[Etude], log: RunLogFile, since: datetime
) -> tuple[str, ...]:
    """Name what was played lately and cannot be opened from the shelf.

    Of a shelf with a file that cannot be read nobody knows what is missing there.  An
    etude that is moved is there as its page is.
    """
    if any(etude.problem for etude in etudes):
        return ()
    there = {title_on_page(etude.title) for etude in etudes}
    played = log.list_titles(player_name(), since)
    return tuple(title for title in played if title_on_page(title) not in there)


def _shelf(log: RunLogFile) -> Sequence[Etude]:
    """Give the whole shelf: what was rehearsed last first, then the easiest.

    What was rehearsed from another place stands among it.
    """
    tallies = log.tally(player_name())
    shelf = list(list_etudes(tallies, patience_s=None))
    etudes = [*shelf, *_from_elsewhere(shelf, tallies)]
    return sorted(
        etudes, key=lambda one: -one.last_run.timestamp() if one.last_run else 0.0
    )


def _from_elsewhere(shelf: Sequence[Etude], tallies: Tallies) -> Iterator[Etude]:
    """Give etudes that were rehearsed by their path, are still there, and not here."""
    titles: dict[str, set[EtudeKey]] = {}
    for path in list_places():
        with suppress(CoachError):
            part = open_moved(path)
            if part.title not in titles:
                titles[part.title] = {
                    key_of(open_moved(Path(one.path)))
                    for one in shelf
                    if one.title == part.title and not one.problem
                }
            if tallies.of(key_of(part)) and key_of(part) not in titles[part.title]:
                titles[part.title].add(key_of(part))
                yield describe(path, part, tallies)


def _when(etude: Etude) -> datetime:
    """Tell when an etude was rehearsed last, by the clock of this place."""
    assert etude.last_run is not None
    return etude.last_run.astimezone()


def _say_fit(etude: Etude, planner: PlayerPlanner) -> str:
    """Say what of an etude the instrument cannot play; empty where it can all."""
    return say_fit(open_moved(Path(etude.path)), planner.instrument)


def _say_none_fits(etudes: Sequence[Etude], instrument: Instrument) -> str:
    """Say that none can be played as it stands, and which could be moved."""
    told = [
        f"No etude on the shelf can be played on the {instrument.title} as it stands."
    ]
    for etude in etudes:
        part = open_moved(Path(etude.path))
        shift = fitting_shift(part, instrument)
        if shift is not None:
            goal = part.moved_semitones + shift
            way = say_shift(goal) if goal else "as it is written"
            command = copied("plan", Path(etude.path).stem, f"--transpose {goal}")
            told.append(f"“{etude.title}” fits {way}: {command}")
            break
    return " ".join(told)


def _work(etude: Etude, log: RunLogFile, planner: PlayerPlanner, now: datetime) -> Work:
    """Ask what comes next in an etude, and how long a run of that lasts."""
    part = open_moved(Path(etude.path))
    here = open_rehearsal(part, planner, log, wishes_of(part), lambda: now)
    advice = here.review(planner.air.estimate).next
    bars = span_of(part)
    is_part = (advice.from_bar, advice.to_bar) != bars
    whole_bpm = here.tempo_of_all() if is_part else 0.0
    return Work(
        title=etude.title,
        file=_named(Path(etude.path)),
        advice=advice,
        run_s=time_of_bars(part, (advice.from_bar, advice.to_bar), advice.bpm),
        path=etude.path,
        is_new=etude.last_run is None,
        whole_bpm=whole_bpm,
        whole_runs_out=here.runs_out_at(whole_bpm) if is_part else None,
        whole_s=time_of_bars(part, bars, whole_bpm) if is_part else 0.0,
    )


def _named(path: Path) -> str:
    """Give by what a command finds an etude: its name on the shelf, or its path."""
    is_on_shelf = path.parent in (shipped("etudes"), player_folder())
    return path.stem if is_on_shelf else str(path)


def _played_today(log: RunLogFile, now: datetime, rest_s: float) -> PlayedToday:
    """Add up what was played today, of whatever etudes."""
    runs = [
        run
        for run in of_today(log.list_runs(since=now - LONGEST_DAY), now)
        if run.was_played and run.is_of(player_name()) and run.started <= now
    ]
    return PlayedToday(
        runs=len(runs),
        etudes=len({run.etude_key or run.etude for run in runs}),
        played_s=sum(run.lasted for run in runs),
        loud_s=sum_loud(runs),
        since_rest_s=since_rest(runs, now, rest_s),
    )
