"""A published equation that predicts how much air a healthy person's lungs hold.

It gives the median for a sex, height and age, and the lower limit of normal, which all
but 5 % of healthy people exceed.  The numbers are in ``config/lungs.toml``.

References
----------
Bowerman et al. 2023, *Am J Respir Crit Care Med* 207:768-774 (GLI Global 2022).
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

FIFTH_CENTILE = -1.645
"""Standard deviations below the median, where 5 % of healthy people lie."""


@dataclass(frozen=True, slots=True)
class CapacityEquation:
    """The equation for one sex, as the Global Lung Function Initiative has it."""

    name: str
    """Its name, for the player."""

    lowest_age_years: float
    """Youngest age that it holds for."""

    highest_age_years: float
    """Oldest age that it holds for."""

    log_median_l: float
    """Logarithm of the median at 1 cm and 1 year, in litres."""

    height_power: float
    """The median grows with height to this power."""

    age_power: float
    """The median grows with age to this power, besides the spline."""

    log_spread_share: float
    """Logarithm of the spread at 1 year, as a share of the median."""

    spread_age_power: float
    """The spread grows with age to this power, besides the spline."""

    skew_power: float
    """Box-Cox power of the distribution; not 0."""

    knots_years: tuple[float, ...]
    """Ages of the spline's knots, increasing."""

    median_log_share: tuple[float, ...]
    """At each knot, what is added to the logarithm of the median."""

    spread_log_share: tuple[float, ...]
    """At each knot, what is added to the logarithm of the spread."""

    def median_l(self, height_cm: float, age: float) -> float:
        """Give the capacity that half of healthy people exceed, in litres."""
        return math.exp(
            self.log_median_l
            + self.height_power * math.log(height_cm)
            + self.age_power * math.log(age)
            + _between(self.knots_years, self.median_log_share, age)
        )

    def lower_l(self, height_cm: float, age: float) -> float:
        """Give the capacity that all but 5 % of healthy people exceed, in litres."""
        spread = math.exp(
            self.log_spread_share
            + self.spread_age_power * math.log(age)
            + _between(self.knots_years, self.spread_log_share, age)
        )
        skewed = math.log1p(FIFTH_CENTILE * self.skew_power * spread)
        return self.median_l(height_cm, age) * math.exp(skewed / self.skew_power)


def _between(xs: Sequence[float], ys: Sequence[float], x: float) -> float:
    """Read a table along straight lines; `x` lies inside it."""
    k = min(bisect_right(xs, x), len(xs) - 1)
    share = (x - xs[k - 1]) / (xs[k] - xs[k - 1])
    return ys[k - 1] + share * (ys[k] - ys[k - 1])
