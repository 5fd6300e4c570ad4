"""The player's own tempo: a line through most notes, whatever a few of them do.

Conventions
-----------
Behind is positive, in seconds; None for a note that was not heard.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.hearing.judging.judging_settings import TimingSettings

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class OwnTempo:
    """A line through most notes."""

    share: float
    """The player's speed as a share of the click's."""

    slope: float
    """How much later the line gets each second; 0 for one too near the click's."""

    late: float
    """How far behind it is at run time 0."""

    def behind_it(self, due: float, behind: float) -> float:
        """Tell how far behind the line a note is."""
        return behind - self.slope * due - self.late


def find_own_tempo(
    times: Sequence[float], late: Mapping[int, float], settings: TimingSettings
) -> OwnTempo:
    """Find the line that the player kept to.

    The middle of all slopes and of all notes, unless another line has clearly more
    notes beside it: who rushes a few bars and keeps the tempo before and after them
    has that tempo.

    Parameters
    ----------
    times : sequence of float
        When each note of the page was due.
    late : mapping
        How far behind each that was heard was, by its index.

    References
    ----------
    P. K. Sen, Estimates of the regression coefficient based on Kendall's tau, Journal
    of the American Statistical Association 63 (1968), 1379-1389; lines with most notes
    beside them after M. A. Fischler and R. C. Bolles, Random sample consensus,
    Communications of the ACM 24 (1981), 381-395; both from memory.
    """
    order = sorted(late)
    due = np.array([times[k] for k in order])
    behind = np.array([late[k] for k in order])
    usual = _middle_slope(due, behind)
    kept = usual if abs(_share(usual) - 1.0) > settings.own_tempo_share else 0.0
    middle = float(np.median(behind - kept * due))
    near = np.abs(behind - kept * due - middle) <= settings.off_s
    most = settings.line_factor * int(near.sum())
    best = OwnTempo(_share(usual), kept, middle)
    for slope in (kept, 0.0, *_slopes(due, behind, settings.drift_notes)):
        beside = _beside(due, behind, slope, settings)
        if len(beside) > most:
            best, most = OwnTempo(_share(slope), slope, median(beside)), len(beside)
    return best


def _share(slope: float) -> float:
    """Tell the speed of who gets later by so much each second."""
    return 1.0 / (1.0 + slope)


def _middle_slope(due: Floats, behind: Floats) -> float:
    """Tell how much later the player gets each second: the middle of all slopes."""
    slopes = _slopes(due, behind, len(due) - len(due) // 2)
    return median(slopes) if slopes else 0.0


def _slopes(due: Floats, behind: Floats, apart: int) -> list[float]:
    """Give the slopes between notes that are so many apart."""
    far, later = due[apart:] - due[:-apart], behind[apart:] - behind[:-apart]
    return [float(b / a) for a, b in zip(far, later, strict=True) if a > 0]


def _beside(
    due: Floats, behind: Floats, slope: float, settings: TimingSettings
) -> list[float]:
    """Give how late those are that lie beside the line with most notes of a slope."""
    rest = np.sort(behind - slope * due)
    ends = np.searchsorted(rest, rest + 2 * settings.off_s, side="right")
    first = int((ends - np.arange(len(rest))).argmax())
    return [float(one) for one in rest[first : ends[first]]]
