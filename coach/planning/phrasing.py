"""Tell where a musician hears a phrase end.

Every gap between two notes gets a probability.  Long notes among short ones, rests,
leaps, bar lines and marks on the page raise it; a slur across the gap all but rules
it out.

Conventions
-----------
Lengths are in quarter notes and are compared with the local usual length, so that
an eighth among sixteenths counts like a half note among quarters.

References
----------
E. Cambouropoulos, "The local boundary detection model (LBDM) and its application in
the study of expressive timing", Proc. ICMC 2001.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from coach.config import read_settings
from coach.score.note import Note
from coach.score.phrase import Part

NEIGHBOURS = 4


@dataclass(frozen=True, slots=True)
class RuleWeights:
    """How much each thing on the page adds, in log-odds."""

    base_weight: float
    """Everywhere."""

    rest_weight: float
    """A rest as long as the local usual length."""

    longer_weight: float
    """A note twice as long as the local usual length."""

    leap_weight: float
    """Each semitone of the leap across the gap."""

    barline_weight: float
    """The next note begins a bar."""

    mark_weight: float
    """A breath mark, caesura or fermata."""

    slur_ceiling_share: float
    """Highest probability inside a slur."""


def phrase_ends(part: Part) -> tuple[float, ...]:
    """Give each gap between notes the probability that a phrase ends there.

    Parameters
    ----------
    part : Part
        The page.

    Returns
    -------
    tuple of float, length ``len(part.notes) - 1``
        Probability from 0 to 1 that a musician hears a phrase end after each note
        but the last.
    """
    weights = _weights()
    steps = [
        float(after.onset - before.onset)
        for before, after in zip(part.notes, part.notes[1:], strict=False)
    ]
    return tuple(
        _probability(part.notes[k], part.notes[k + 1], _usual(steps, k), weights)
        for k in range(len(steps))
    )


def _probability(
    before: Note, after: Note, usual: float, weights: RuleWeights
) -> float:
    """Weigh one gap."""
    rest = max(0.0, float(after.onset - before.end))
    step = max(float(after.onset - before.onset), usual / NEIGHBOURS)
    odds = weights.base_weight
    odds += weights.rest_weight * min(1.0, rest / usual)
    odds += weights.longer_weight * math.log2(step / usual)
    odds += weights.leap_weight * abs(after.sounding.midi - before.sounding.midi)
    odds += weights.barline_weight * (after.beat == 1)
    odds += weights.mark_weight * bool(before.breath_mark or before.has_fermata)
    probability = 1.0 / (1.0 + math.exp(-odds))
    return (
        min(probability, weights.slur_ceiling_share)
        if after.is_slurred
        else probability
    )


def _usual(steps: list[float], k: int) -> float:
    """Give the usual time from note to note about a gap; greater than 0."""
    near = sorted(
        s for s in steps[max(0, k - NEIGHBOURS) : k + NEIGHBOURS + 1] if s > 0
    )
    return near[len(near) // 2] if near else 1.0


@cache
def _weights() -> RuleWeights:
    return read_settings(RuleWeights, "phrasing", "rules")
