"""Runs of today across a change of clocks, and runs that a wrong clock dated ahead."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

from coach.rehearsal.ahead.run_dates import at_their_place, of_today
from coach.rehearsal.run.run import Run

WINTER, SUMMER = (timezone(timedelta(hours=hours)) for hours in (1, 2))
NOW = datetime(2025, 3, 30, 10, tzinfo=SUMMER)


def run(number: int, started: datetime) -> Run:
    """Make a run of bars 1 to 4."""
    return Run(
        started=started,
        etude="By Hand",
        from_bar=1,
        to_bar=4,
        bpm=60,
        is_completed=True,
        is_clean=True,
        id=number,
    )


def numbers(*runs: Run) -> list[int | None]:
    """Tell the order in which runs stand."""
    return [one.id for one in at_their_place(runs, NOW)]


def test_the_day_begins_at_midnight_where_the_clocks_were_changed_since() -> None:
    """The night in which an hour is left out: midnight was eleven hours after one."""
    late = run(1, datetime(2025, 3, 29, 23, 30, tzinfo=WINTER))
    early = run(2, datetime(2025, 3, 30, 0, 30, tzinfo=WINTER))
    assert of_today((late, early), NOW) == (early,)


def test_where_no_run_lies_ahead_their_dates_tell() -> None:
    earlier = run(7, NOW - timedelta(hours=1))
    assert at_their_place((earlier, run(3, NOW)), NOW) == (earlier, run(3, NOW))


def test_a_run_that_is_dated_ahead_stands_where_it_was_written() -> None:
    days = [NOW - timedelta(days=days) for days in (3, 2, 1)]
    ahead = run(2, NOW + timedelta(days=5000))
    runs = run(1, days[0]), run(3, days[1]), run(4, days[2]), ahead
    assert numbers(*runs) == [1, 2, 3, 4]
    placed = at_their_place(runs, NOW)[1]
    assert placed.started == days[0]


def test_the_first_run_of_all_may_be_dated_ahead() -> None:
    ahead = run(1, NOW + timedelta(days=1))
    assert numbers(run(2, NOW - timedelta(days=1)), ahead) == [1, 2]


def test_where_all_lie_ahead_it_is_now_that_is_wrong() -> None:
    runs = [run(number, NOW + timedelta(days=9 - number)) for number in (2, 1)]
    assert numbers(*runs) == [1, 2]
