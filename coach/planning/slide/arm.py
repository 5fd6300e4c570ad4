"""How far the arm goes with the slide, and how long it takes.

References
----------
Flash & Hogan 1985, J Neurosci 5:1688: a smooth move of length d with greatest
acceleration a takes T = sqrt(5.77 d / a).
"""

from __future__ import annotations

from math import sqrt

from coach.planning.instrument.partials import CM_IN_M
from coach.planning.instrument.placement import Placement

MINIMUM_JERK = 5.77


def move_time_s(distance_cm: float, acceleration_mps2: float) -> float:
    """Tell how long the arm takes for a smooth move.

    Examples
    --------
    >>> round(move_time_s(8.8, 40.0), 3)
    0.113
    """
    return sqrt(MINIMUM_JERK * distance_cm / CM_IN_M / acceleration_mps2)


def travel_cm(before: Placement, after: Placement) -> float:
    """Tell how far the arm goes between two places; 0 where one has no slide."""
    if before.cm is None or after.cm is None:
        return 0.0
    return abs(after.cm - before.cm)
