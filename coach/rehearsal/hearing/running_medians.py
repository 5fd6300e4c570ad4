"""Running medians: what notes beside each other have in common, outliers left out."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median


def running_medians(values: Sequence[float], width: int) -> list[float]:
    """Give the median around each value.

    Parameters
    ----------
    width : int
        Values that each median is taken over, the value itself in their middle; there
        are fewer of them at both ends.
    """
    half = width // 2
    return [median(values[max(0, k - half) : k + half + 1]) for k in range(len(values))]
