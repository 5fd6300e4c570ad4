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
from coach.planning.slide.slide_settings import SlideSettings

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


def is_in_reach(distance_cm: float, time_s: float, settings: SlideSettings) -> bool:
    """Tell whether the arm gets so far softly: in a slur, or under a soft tongue.

    Parameters
    ----------
    time_s : float
        From the beginning of the note before.
    """
    by_speed_s = distance_cm / CM_IN_M / settings.slur_speed_mps
    by_force_s = move_time_s(distance_cm, settings.limit_mps2)
    return max(by_speed_s, by_force_s) <= time_s
