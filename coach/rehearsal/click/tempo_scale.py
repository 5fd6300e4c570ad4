"""The tempos that a player can set: the notches of the traditional scale, whole beats.

Conventions
-----------
Tempos are in the part's beat, per minute.  What the coach suggests is rounded to the
slower side: a little slower is clean too.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from math import ceil, floor

BPM_DIGITS = 2
"""Decimals of a tempo that are no accident of arithmetic."""


@dataclass(frozen=True, slots=True)
class TempoSettings:
    """The scale of tempos and its limits."""

    notches_bpm: tuple[float, ...]
    """The traditional scale, in increasing order."""

    step_below_bpm: float
    """Step below its lower end."""

    step_above_bpm: float
    """Step above its upper end."""

    slowest_bpm: float
    """No tempo is slower."""

    fastest_bpm: float
    """No tempo is faster."""


def step_tempo(bpm: float, notches: int, scale: TempoSettings) -> float:
    """Move a tempo along the scale.

    Parameters
    ----------
    bpm : float
        Where to start; a tempo between two notches moves to its neighbour first.
    notches : int
        How many notches, up if positive.

    Examples
    --------
    >>> scale = TempoSettings((60.0, 63.0, 66.0), 2.0, 8.0, 20.0, 400.0)
    >>> step_tempo(61.0, 1, scale), step_tempo(66.0, 1, scale)
    (63.0, 74.0)
    """
    for _ in range(abs(notches)):
        bpm = _next_up(bpm, scale) if notches > 0 else _next_down(bpm, scale)
    return min(max(bpm, scale.slowest_bpm), scale.fastest_bpm)


def notch_at_most(bpm: float, scale: TempoSettings) -> float:
    """Give the fastest notch that is no faster than a tempo.

    Parameters
    ----------
    bpm : float
        Tempo that is not to be passed.

    Examples
    --------
    >>> scale = TempoSettings((60.0, 63.0, 66.0), 2.0, 8.0, 20.0, 400.0)
    >>> notch_at_most(65.9, scale), notch_at_most(57.7, scale)
    (63.0, 56.0)
    """
    above = _next_up(round(bpm, BPM_DIGITS), scale)
    return max(_next_down(above, scale), scale.slowest_bpm)


def whole_bpm(bpm: float) -> float:
    """Round a tempo to whole beats a minute, to the slower side.

    Parameters
    ----------
    bpm : float
        As a page has it, where dotted beats are counted: 75.33.

    Returns
    -------
    float
        As a player sets it: 75.
    """
    return float(floor(round(bpm, BPM_DIGITS)))


def say_bpm(bpm: float) -> str:
    """Write a tempo without needless decimals."""
    return f"{round(bpm, 1):g}"


def _next_up(bpm: float, scale: TempoSettings) -> float:
    """Give the next notch above."""
    bottom, top = scale.notches_bpm[0], scale.notches_bpm[-1]
    if bpm < bottom:
        steps = ceil((bottom - bpm) / scale.step_below_bpm) - 1
        return bottom - steps * scale.step_below_bpm
    if bpm >= top:
        steps = floor((bpm - top) / scale.step_above_bpm) + 1
        return top + steps * scale.step_above_bpm
    return scale.notches_bpm[bisect_right(scale.notches_bpm, bpm)]


def _next_down(bpm: float, scale: TempoSettings) -> float:
    """Give the next notch below."""
    bottom, top = scale.notches_bpm[0], scale.notches_bpm[-1]
    if bpm > top:
        steps = ceil((bpm - top) / scale.step_above_bpm) - 1
        return top + steps * scale.step_above_bpm
    if bpm <= bottom:
        steps = floor((bottom - bpm) / scale.step_below_bpm) + 1
        return bottom - steps * scale.step_below_bpm
    return scale.notches_bpm[bisect_left(scale.notches_bpm, bpm) - 1]
