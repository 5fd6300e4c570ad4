"""What days have shown, reckoned with arrays: the same answer, ten times sooner.

The benchmark of learning follows hundreds of players with it.  That it agrees with
`coach.rehearsal.learning.belief` is a test (`test_belief_in_arrays.py`), so each of the
two is a check of the other: there kernels slide along rows of numbers, here they are
matrices, and the normal curve comes from the standard library.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import cache
from math import hypot, sqrt
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.learning.belief import IMPOSSIBLE, KERNEL_SPREADS, Belief
from coach.rehearsal.learning.candidates import (
    FLOW_LOGS,
    FLOW_STEP,
    Candidates,
    LearningSettings,
)
from coach.rehearsal.learning.sights import Sight

Array = NDArray[np.float64]

FLOWS = np.array(FLOW_LOGS)
CURVE_AT = np.linspace(-8.0, 8.0, 16001)
CURVE = np.array([NormalDist().cdf(at) for at in CURVE_AT])
NARROW_STEPS = 0.6
"""A curve narrower than this many steps of flow becomes three weights."""


def after_day_in_arrays(
    belief: Belief,
    day: date,
    sights: Sequence[Sight],
    candidates: Candidates,
    settings: LearningSettings,
) -> Belief:
    """Learn from what one day has shown."""
    rows = _let_time_go_by(np.array(belief.rows), belief.day, day, settings)
    if sights:
        shown = sum(_log_likely(sight, settings) for sight in sights)
        likely = np.exp(shown - np.max(shown))
        seen = np.stack(
            [likely @ _blur(spread).T for spread in candidates.day_spreads], axis=2
        )
        rows = rows * seen.reshape(rows.shape)
    rows = rows / rows.sum()
    last = day if belief.day is None else max(day, belief.day)
    return Belief(tuple(map(tuple, rows.tolist())), last)


def _let_time_go_by(
    rows: Array, last: date | None, day: date, settings: LearningSettings
) -> Array:
    """Let the player's flow wander, or have changed at once."""
    days = 0 if last is None else (day - last).days
    if days <= 0:
        return rows
    same = (1.0 - settings.changed_days_share) ** days
    walk = settings.walk_per_day_share * sqrt(days)
    jump = hypot(walk, settings.change_share)
    blur = same * _blur(walk) + (1.0 - same) * _blur(jump)
    return rows @ blur.T


def _log_likely(sight: Sight, settings: LearningSettings) -> Array:
    """Tell how likely what was seen is, by step, intake and flow, in logs."""
    edges = np.array(
        [[(e.before, e.latest, e.earliest) for e in row] for row in sight.edges]
    )
    before, latest, earliest = (
        _below(edges[..., k, np.newaxis], sight.spread) for k in range(3)
    )
    found = 1.0 - settings.forgotten_share
    unseen = settings.forgotten_share + found * before
    if not sight.ran_out:
        right = 1.0 - settings.wrong_share
        lasted = settings.forgotten_share + found * before * latest
        return np.log(right * lasted + IMPOSSIBLE)
    wrong = max(sight.wrong, IMPOSSIBLE)
    then = np.maximum(0.0, earliest - latest)
    return np.log(unseen * found * then + wrong)


def _below(edges: Array, spread: float) -> Array:
    """Tell how likely each flow lies below edges that runs blur."""
    below = np.interp((edges - FLOWS) / spread, CURVE_AT, CURVE)
    return np.where(edges >= FLOW_LOGS[-1], 1.0, below)


@cache
def _blur(spread: float) -> Array:
    """Give the matrix that blurs flows; beyond the ends they go on level."""
    steps = spread / FLOW_STEP
    reach = max(1, int(KERNEL_SPREADS * steps) + 1)
    at = np.arange(-reach, reach + 1)
    if steps < NARROW_STEPS:
        at = np.arange(-1, 2)
        kernel = np.array([steps**2 / 2.0, 1.0 - steps**2, steps**2 / 2.0])
    else:
        kernel = np.exp(-((at / steps) ** 2) / 2.0)
        kernel /= kernel.sum()
    matrix = np.zeros((len(FLOWS), len(FLOWS)))
    for k in range(len(FLOWS)):
        np.add.at(matrix[k], np.clip(k + at, 0, len(FLOWS) - 1), kernel)
    return matrix
