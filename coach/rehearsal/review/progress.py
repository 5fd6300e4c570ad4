"""What got better: the fastest clean tempo, whole and part told apart, and the time.

Conventions
-----------
Days are those of the player's own clock.  A part is any segment that is not the whole.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from coach.rehearsal.run.run import Run


@dataclass(frozen=True, slots=True)
class Best:
    """The best clean run of a day, or of all."""

    day: date
    """When, by the player's own clock."""

    clean_bpm: float
    """Its tempo."""

    from_bar: int
    """Its first bar."""

    to_bar: int
    """Its last bar."""

    is_whole: bool
    """It was the whole part."""


@dataclass(frozen=True, slots=True)
class DayOfPlaying:
    """One day."""

    day: date
    """When."""

    runs: int
    """Runs that were played, of whatever length."""

    played_s: float
    """How long was played, in seconds, count-ins left out."""

    loud_s: float | None
    """How long of that was forte or louder, in seconds; None where nothing tells."""

    whole: Best | None
    """Best clean run of the whole part; None where there is none."""

    part: Best | None
    """Best clean run of a part of it; None where there is none."""


def is_false_start(run: Run) -> bool:
    """Tell whether a run was broken off in its first bar, with nothing marked."""
    if run.is_completed or run.marks:
        return False
    return run.reached_bar is None or run.reached_bar <= run.from_bar


def played_of(runs: Sequence[Run]) -> tuple[Run, ...]:
    """Give the runs of which it is known how they went, false starts left out."""
    return tuple(run for run in runs if run.is_telling and not is_false_start(run))


def best_clean(runs: Iterable[Run]) -> Best | None:
    """Give the best clean run: of the whole part, or else of any segment.

    Returns
    -------
    Best or None
        The fastest; of equally fast ones the longest, then the oldest; None if no run
        was clean in time, without room to breathe.
    """
    clean = [run for run in runs if run.is_clean and not run.how.room_beats]
    if not clean:
        return None
    run = max(clean, key=lambda run: (run.is_whole, run.bpm, run.to_bar - run.from_bar))
    return Best(run.started.date(), run.bpm, run.from_bar, run.to_bar, run.is_whole)


def sum_loud(runs: Iterable[Run]) -> float | None:
    """Tell how long runs were forte or louder, in seconds; None where none tells."""
    told = [run.loud for run in runs if run.loud is not None]
    return sum(told) if told else None


def tell_days(runs: Sequence[Run]) -> tuple[DayOfPlaying, ...]:
    """Tell of each day how long was played, and what was clean.

    Returns
    -------
    tuple of DayOfPlaying
        Oldest first; days with nothing clean too.
    """
    days: dict[date, list[Run]] = defaultdict(list)
    for run in runs:
        days[run.started.date()].append(run)
    return tuple(
        DayOfPlaying(
            day=day,
            runs=len(days[day]),
            played_s=sum(run.lasted for run in days[day]),
            loud_s=sum_loud(days[day]),
            whole=best_clean(run for run in days[day] if run.is_whole),
            part=best_clean(run for run in days[day] if not run.is_whole),
        )
        for day in sorted(days)
    )
