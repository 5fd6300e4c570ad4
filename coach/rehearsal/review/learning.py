"""What many runs say about this player's air.

A mark *ran out* says at which flow scale the air would have been gone just there; a
run to the end without one says below which scale the player must be.  Both are
weighed on a grid of flow scales against how much players differ (the prior) and how
much one day differs from another (the noise).  With few runs the answer stays wide
and near 1, and says so.

Conventions
-----------
A flow scale is this player's flow against the model's; 1 is the model.  Runs of one
day are no independent witnesses: of each day count the median of its ran-out marks,
and the run to the end that asked for most air.

References
----------
Bayes' rule on a grid, in any textbook.  The spreads are in ``config/rehearsal.toml``.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import accumulate
from math import erf, exp, log, sqrt
from statistics import median

from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import Run

GRID_POINTS = 241
"""Flow scales tried: one every 0.8 % over the range."""


@dataclass(frozen=True, slots=True)
class LearningSettings:
    """How far to believe the model, the marks and the days."""

    players_differ_share: float
    """Spread of players about the model."""

    days_differ_share: float
    """Spread of one player's days."""

    stray_share: float
    """Share of marks that mean nothing; greater than 0."""

    least_scale_factor: float
    """Least flow scale thought possible."""

    greatest_scale_factor: float
    """Greatest flow scale thought possible."""

    outside_share: float
    """Share of belief outside the range that is told, both sides together."""


@dataclass(frozen=True, slots=True)
class AirEstimate:
    """A player's flow against the model's, as far as the runs tell."""

    flow_scale: float
    """Middle of the belief."""

    low: float
    """Lower end of the range that is told."""

    high: float
    """Upper end of the range that is told."""

    ran_out: int
    """Runs with a ran-out mark that count."""

    completed: int
    """Runs to the end without one that count."""

    days: int
    """Days that they are from."""

    says: str
    """All of that in the player's words."""


@dataclass(frozen=True, slots=True)
class _Seen:
    """What one run shows."""

    day: date
    """When, by the player's own clock."""

    scale: float
    """Flow scale at which the air would have been gone."""

    ran_out: bool
    """The player did run out there."""


def learn(runs: Sequence[Run], settings: LearningSettings) -> AirEstimate:
    """Estimate a player's flow scale from runs.

    Parameters
    ----------
    runs : sequence of Run
        Of any etudes, in any order.
    settings : LearningSettings
        How far to believe what.

    Returns
    -------
    AirEstimate
        The middle and the range of what can be believed.
    """
    out = [seen for run in runs if (seen := _seen(run)) and seen.ran_out]
    done = [seen for run in runs if (seen := _seen(run)) and not seen.ran_out]
    gone = [median(scales) for scales in _by_day(out)]
    enough = [min(scales) for scales in _by_day(done)]
    grid = _grid(settings)
    belief = _belief(grid, gone, enough, settings)
    middle, low, high = (
        _quantile(grid, belief, share)
        for share in (0.5, settings.outside_share / 2, 1 - settings.outside_share / 2)
    )
    days = len({seen.day for seen in (*out, *done)})
    return AirEstimate(
        flow_scale=middle,
        low=low,
        high=high,
        ran_out=len(out),
        completed=len(done),
        days=days,
        says=_say(middle, low, high, len(out), len(done), days),
    )


def _seen(run: Run) -> _Seen | None:
    """Tell what a run shows: nothing, if it is neither whole nor marked ran out.

    Nor does one that nobody played show anything.
    """
    ran_out = any(mark.kind is MarkKind.RAN_OUT for mark in run.marks)
    is_seen = run.is_telling and (ran_out or run.is_completed)
    if run.empties_at_scale is None or not is_seen:
        return None
    return _Seen(run.started.date(), run.empties_at_scale, ran_out)


def _by_day(seen: Sequence[_Seen]) -> tuple[list[float], ...]:
    """Gather the flow scales of each day."""
    days: dict[date, list[float]] = {}
    for one in seen:
        days.setdefault(one.day, []).append(one.scale)
    return tuple(days.values())


def _grid(settings: LearningSettings) -> tuple[float, ...]:
    """Lay out the flow scales to try, evenly in ratio."""
    low, high = log(settings.least_scale_factor), log(settings.greatest_scale_factor)
    step = (high - low) / (GRID_POINTS - 1)
    return tuple(exp(low + k * step) for k in range(GRID_POINTS))


def _belief(
    grid: Sequence[float],
    gone: Sequence[float],
    enough: Sequence[float],
    settings: LearningSettings,
) -> tuple[float, ...]:
    """Weigh every flow scale of the grid; the greatest weight is 1."""
    logs = [
        -((log(scale) / settings.players_differ_share) ** 2) / 2
        + sum(_log_gone(scale, seen, settings) for seen in gone)
        + sum(_log_enough(scale, seen, settings) for seen in enough)
        for scale in grid
    ]
    greatest = max(logs)
    return tuple(exp(weight - greatest) for weight in logs)


def _log_gone(scale: float, seen: float, settings: LearningSettings) -> float:
    """Weigh a flow scale by a ran-out mark that `seen` would explain."""
    off = log(seen / scale) / settings.days_differ_share
    stray = settings.stray_share
    return log((1 - stray) * exp(-(off**2) / 2) + stray)


def _log_enough(scale: float, seen: float, settings: LearningSettings) -> float:
    """Weigh a flow scale by a run to the end that `seen` would just have stopped."""
    off = log(seen / scale) / settings.days_differ_share
    stray = settings.stray_share
    return log((1 - stray) * (1 + erf(off / sqrt(2))) / 2 + stray)


def _quantile(grid: Sequence[float], belief: Sequence[float], share: float) -> float:
    """Give the flow scale below which a share of the belief lies."""
    below = list(accumulate(belief))
    return grid[bisect_left(below, share * below[-1])]


def _say(
    middle: float, low: float, high: float, ran_out: int, completed: int, days: int
) -> str:
    """Put an estimate in the player's words, with what it stands on."""
    if not ran_out:
        basis = (
            "No run has told anything yet"
            if not completed
            else f"{_count(completed, 'run')} to the end, none marked ran out"
        )
        return f"{basis}: your flow lies between {low:.2f} and {high:.2f} of the model."
    return (
        f"From {_count(ran_out, 'run')} that ran out and {completed} that did not, "
        f"on {_count(days, 'day')}: about {middle:.2f} of the model's flow, "
        f"likely {low:.2f} to {high:.2f}."
    )


def _count(number: int, noun: str) -> str:
    """Say how many, with the plural."""
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
