"""A mark on a run: what went wrong, or was done, and on which beat."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import floor
from typing import Literal

from coach.planning.plan import Plan
from coach.score.phrase import place_of
from coach.score.tempo import Seconds


class MarkKind(StrEnum):
    """What went wrong, or was done, at a beat."""

    RAN_OUT = "ran-out"
    RUSHED = "rushed"
    DRAGGED = "dragged"
    MISSED = "missed"
    LATE_AFTER_BREATH = "late-after-breath"
    BREATHED = "breathed"
    MISSED_BREATH = "missed-breath"


FAULTS = frozenset(
    {
        MarkKind.RAN_OUT,
        MarkKind.RUSHED,
        MarkKind.DRAGGED,
        MarkKind.MISSED,
        MarkKind.LATE_AFTER_BREATH,
    }
)
"""Marks that make a run not clean; a breath more or less does not by itself."""


MarkedBy = Literal["player", "microphone", "pedal"]

WORDS = {
    MarkKind.RAN_OUT: "ran out",
    MarkKind.RUSHED: "rushed",
    MarkKind.DRAGGED: "dragged",
    MarkKind.MISSED: "missed",
    MarkKind.LATE_AFTER_BREATH: "late after the breath",
    MarkKind.BREATHED: "breathed",
    MarkKind.MISSED_BREATH: "missed the breath",
}
"""How a mark is said to a player."""

A_HAIR = 1e-6
"""A moment less than this many quarter notes before a beat is on it."""


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark on a run."""

    kind: MarkKind
    """What happened."""

    bar: int
    """Bar on the page."""

    beat: float
    """Beat in the bar, from 1."""

    at: Seconds
    """Run time that is meant: the press less the reaction time."""

    by: MarkedBy = "player"
    """Who says so."""

    amount: Seconds | None = None
    """How much, where it was measured."""


def mark_at(plan: Plan, kind: MarkKind, at: Seconds, by: MarkedBy = "player") -> Mark:
    """Make a mark on the beat that sounds at a run time.

    Parameters
    ----------
    plan : Plan
        What is played.
    kind : MarkKind
        What happened.
    at : Seconds
        When; outside the segment its first or last moment is meant.
    by : str
        Who says so.

    Returns
    -------
    Mark
        With the bar and the last whole beat, in the metre's written unit.
    """
    first = plan.tempo_map.seconds_at(plan.part.start)
    last = plan.times[-1].end
    meant = Seconds(min(max(at, first), last))
    place = place_of(plan.part, plan.tempo_map.beats_at(meant) + A_HAIR)
    return Mark(kind, place.bar, float(floor(place.beat)), meant, by)


def say_mark(kind: MarkKind, bar: int) -> str:
    """Say what happened where, as ``ran out in bar 7``."""
    return f"{WORDS[kind]} in bar {bar}"
