"""How likely each candidate is, after what the days have shown.

A day's flow lies about the player's own by the spread of days; what the runs of one
day show tells of that day's flow, and through it of the player's.  So many runs of
one day are never as good as many days.  From day to day the player's own flow may
wander a little, which lets old days fade; and there is a small chance that it has
changed at once, after a lesson or a cold, which lets what was sure be overruled.

Conventions
-----------
Flows are natural logarithms.  A row of belief is over the flows tried; there is one
for each step of dynamics, each intake and each spread of days, in that order.

References
----------
Bayes' rule on a grid, and a random walk as the state of a filter: any textbook, as
Särkkä 2013, Bayesian Filtering and Smoothing, chapters 3 and 4.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from itertools import accumulate, product
from math import erf, exp, hypot, log, sqrt
from operator import mul

from coach.rehearsal.learning.candidates import (
    FLOW_LOGS,
    FLOW_STEP,
    Candidates,
    LearningSettings,
)
from coach.rehearsal.learning.replaying import Edge
from coach.rehearsal.learning.sights import Sight

Row = tuple[float, ...]

KERNEL_SPREADS = 3.0
"""A normal curve is cut off so many spreads from its middle."""

NARROW_STEPS = 0.6
"""A curve narrower than this many steps is too narrow to be read off at them."""

CLOSE_STEP = FLOW_STEP / 8
"""Edges nearer than this are taken as one."""

EVERYWHERE = range(len(FLOW_LOGS))
"""All flows tried, by their place."""

IMPOSSIBLE = 1e-30
"""Nothing that was seen is less likely than this."""

LEAST = 1e-9
"""Belief below this share of the greatest is no longer followed."""


@dataclass(frozen=True, slots=True)
class Belief:
    """How likely each candidate is; all adds up to 1."""

    rows: tuple[Row, ...]
    """For each step of dynamics, intake and spread of days, over the flows tried."""

    day: date | None = None
    """The last day that it knows of; None before the first."""


def believe_nothing_yet(
    candidates: Candidates, settings: LearningSettings, *, is_predicted: bool
) -> Belief:
    """Tell how likely candidates are before anything was seen.

    Parameters
    ----------
    is_predicted : bool
        The capacity is predicted, so that it differs from the true one as well.

    Returns
    -------
    Belief
        Normal about the model in the logarithm of flow.
    """
    spread = settings.players_differ_share
    if is_predicted:
        spread = hypot(spread, settings.capacities_differ_share)
    flows = [exp(-((flow / spread) ** 2) / 2) for flow in FLOW_LOGS]
    weights = product(
        candidates.step_weights,
        candidates.fill_weights,
        candidates.day_weights,
    )
    return _scaled([[flow * a * b * c for flow in flows] for a, b, c in weights], None)


def after_day(
    belief: Belief,
    day: date,
    sights: Sequence[Sight],
    candidates: Candidates,
    settings: LearningSettings,
) -> Belief:
    """Learn from what one day has shown.

    Parameters
    ----------
    day : date
        Which day, not before the belief's.
    sights : sequence of Sight
        What it has shown; nothing lets the time go by.
    """
    belief = _let_time_go_by(belief, day, settings)
    if not sights:
        return belief
    shown = [
        [_shown(sights, i, j, settings) for j in range(len(candidates.fill_factors))]
        for i in range(len(candidates.step_powers))
    ]
    # Likelihoods come as logs, since a day of runs multiplies many small ones; taken
    # against the greatest of all, they are plain numbers that none lose to rounding.
    greatest = max(max(row) for rows in shown for row in rows)
    rows = iter(belief.rows)
    learned: list[Sequence[float]] = []
    for by_intake in shown:
        for logs in by_intake:
            likely = [exp(one - greatest) for one in logs]
            learned += [
                _weighed(next(rows), likely, spread)
                for spread in candidates.day_spreads
            ]
    return _scaled(learned, day)


def flows_of(belief: Belief) -> Row:
    """Tell how likely each flow is, whatever else the player is like."""
    return tuple(map(sum, zip(*belief.rows, strict=True)))


def weights_of(belief: Belief) -> Row:
    """Tell how likely each row is."""
    return tuple(map(sum, belief.rows))


def flow_below(flows: Row, share: float) -> float:
    """Give the flow below which a share of the belief lies.

    Parameters
    ----------
    flows : tuple of float
        From `flows_of`.
    share : float
        From 0 to 1.

    Returns
    -------
    float
        As a natural logarithm; between two flows tried the belief lies evenly.
    """
    wanted = share * sum(flows)
    for k, below in enumerate(accumulate(flows)):
        if below >= wanted and flows[k] > 0.0:
            # Each flow tried stands for half a step to either side; of it, `inside` is
            # the share that lies above what is wanted.
            inside = (below - wanted) / flows[k]
            return FLOW_LOGS[k] + FLOW_STEP * (0.5 - inside)
    return FLOW_LOGS[-1]


def _shown(
    sights: Sequence[Sight], power: int, factor: int, settings: LearningSettings
) -> list[float]:
    """Tell how likely what a day has shown is at each flow of the day, in logs."""
    total = [0.0] * len(FLOW_LOGS)
    for sight in sights:
        logs = _log_likely(sight, sight.edges[power][factor], settings)
        total = [a + b for a, b in zip(total, logs, strict=True)]
    return total


def _log_likely(sight: Sight, edge: Edge, settings: LearningSettings) -> list[float]:
    """Tell how likely what one run has shown is at each flow of its day, in logs."""
    forgotten = settings.forgotten_share
    found = 1.0 - forgotten
    # Either the player forgot to say that the air was gone before, whatever the flow,
    # or it was not gone: the flow lies below that edge.
    lasted_before = _below(edge.before, sight.spread)
    lasted = _below(edge.latest, sight.spread)
    if not sight.ran_out:
        # Nothing marked: the air lasted before and to the end, or that was forgotten.
        right = 1.0 - settings.wrong_share
        return [
            log(right * (forgotten + found * a * b) + IMPOSSIBLE)
            for a, b in zip(lasted_before, lasted, strict=True)
        ]
    # Marked as gone: above the flow at which it would have lasted longer, below the one
    # at which it would have been gone sooner; or the mark means nothing at any flow.
    wrong = max(sight.wrong, IMPOSSIBLE)
    too_late = _below(edge.earliest, sight.spread)
    return [
        log((forgotten + found * a) * found * max(0.0, late - early) + wrong)
        for a, early, late in zip(lasted_before, lasted, too_late, strict=True)
    ]


@cache
def _below_around(step: int, spread: float) -> Row:
    """Tabulate the normal curve below an edge, see `_below`."""
    scale = spread * sqrt(2.0)
    edge = FLOW_LOGS[0] + step * CLOSE_STEP
    return tuple((1.0 + erf((edge - flow) / scale)) / 2.0 for flow in FLOW_LOGS)


def _below(edge: float, spread: float) -> Row:
    """Tell how likely each flow lies below an edge that runs blur."""
    if edge >= FLOW_LOGS[-1]:
        return (1.0,) * len(FLOW_LOGS)
    return _below_around(round((edge - FLOW_LOGS[0]) / CLOSE_STEP), spread)


def _let_time_go_by(belief: Belief, day: date, settings: LearningSettings) -> Belief:
    """Let the player's flow wander since the last day, or have changed at once."""
    days = 0 if belief.day is None else (day - belief.day).days
    if days <= 0:
        return Belief(belief.rows, belief.day or day)
    # Small steps of every day add up by their squares; a change at once, on any of the
    # days, comes on top of them.
    same = (1.0 - settings.changed_days_share) ** days
    walk = settings.walk_per_day_share * sqrt(days)
    jump = hypot(walk, settings.change_share)
    rows = []
    for row in belief.rows:
        near, far = _smooth(row, walk, EVERYWHERE), _smooth(row, jump, EVERYWHERE)
        mixed = zip(near, far, strict=True)
        rows.append([same * one + (1.0 - same) * other for one, other in mixed])
    return _scaled(rows, day)


@cache
def _kernel(spread: float) -> Row:
    """Give the weights of a normal curve on the flows tried; they add up to 1.

    A curve much narrower than the step becomes three weights of the same variance.
    """
    steps = spread / FLOW_STEP
    if steps < NARROW_STEPS:
        # Two neighbours one step away, each of this weight: a variance of steps².
        side = steps * steps / 2.0
        return (side, 1.0 - 2.0 * side, side)
    reach = int(KERNEL_SPREADS * steps) + 1
    weights = [exp(-((k / steps) ** 2) / 2.0) for k in range(-reach, reach + 1)]
    return tuple(weight / sum(weights) for weight in weights)


def _smooth(row: Sequence[float], spread: float, places: range) -> list[float]:
    """Blur a row by a normal curve at some places; beyond its ends it goes on level."""
    kernel = _kernel(spread)
    reach = len(kernel) // 2
    wide = [*[row[0]] * reach, *row, *[row[-1]] * reach]
    return [sum(map(mul, wide[k : k + len(kernel)], kernel)) for k in places]


def _weighed(row: Row, likely: Sequence[float], spread: float) -> list[float]:
    """Weigh a row by what a day has shown, wherever it still believes anything."""
    first = next((k for k, one in enumerate(row) if one > 0.0), len(row))
    after = next((k for k in range(len(row), first, -1) if row[k - 1] > 0.0), first)
    # What is shown is the day's flow; days lie about the player's own by `spread`.
    seen = _smooth(likely, spread, range(first, after))
    return [*row[:first], *map(mul, row[first:after], seen), *row[after:]]


def _scaled(rows: Sequence[Sequence[float]], day: date | None) -> Belief:
    """Scale belief so that it adds up to 1; what is next to nothing is dropped."""
    total = sum(map(sum, rows))
    least = LEAST * max(map(max, rows))
    return Belief(
        tuple(
            tuple(one / total if one > least else 0.0 for one in row) for row in rows
        ),
        day,
    )
