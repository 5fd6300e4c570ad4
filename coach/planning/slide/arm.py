"""How far the arm goes with the slide, how long it takes, and what it asks for.

An arm that stops at each note needs `move_time_s`: that is what choices are weighed by.
Among quick notes no arm stops: it swings, out and in between two places, or on through
a note that lies on its way, and `swing_mps2` tells how hard.

References
----------
Flash & Hogan 1985, J Neurosci 5:1688: a smooth move of length d with greatest
acceleration a takes T = sqrt(5.77 d / a).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import pi, sqrt

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
    return abs(move_cm(before, after))


def move_cm(before: Placement, after: Placement) -> float:
    """Tell how the arm goes: out is positive, in negative; 0 without a slide."""
    if before.cm is None or after.cm is None:
        return 0.0
    return after.cm - before.cm


def swing_mps2(
    moves_cm: Sequence[float], time_s: float, settings: SlideSettings
) -> float:
    """Tell how hard the arm must swing to be at a note in time.

    Parameters
    ----------
    moves_cm : sequence of float, length 3
        The move before, the one to the note, and the one after; out is positive, in
        negative, and 0 stands for an arm at rest.
    time_s : float
        From the beginning of the note before.

    Returns
    -------
    float
        Greatest acceleration in metres a second squared.

    Notes
    -----
    To and fro over d, each way in T, is half a cosine: x = d/2 (1 - cos(pi t / T)),
    whose greatest acceleration is pi^2 d / (2 T^2).  On through one of both ends it is
    a quarter of one, and asks for half as much; on through both, for no more than that.
    """
    before, move, after = (
        0.0 if abs(cm) < settings.still_cm else cm for cm in moves_cm
    )
    is_half = before * move <= 0 and move * after <= 0
    distance_m = abs(moves_cm[1]) / CM_IN_M
    return pi**2 * distance_m / time_s**2 / (2 if is_half else 4)


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
