"""A mark on a run: what went wrong, or was done, and on which beat."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import floor
from typing import Literal

from coach.planning.plan import Plan
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.score.phrase import place_of
from coach.score.tempo import Beats, Seconds

MarkedBy = Literal["player", "microphone", "pedal"]

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

    time: int = 1
    """Which time through its bar is played; 1 where an older log did not tell."""


def mark_at(plan: Plan, kind: MarkKind, at: Seconds, by: MarkedBy = "player") -> Mark:
    """Make a mark on the beat that sounds at a run time.

    Parameters
    ----------
    at : Seconds
        When; outside the segment its first or last moment is meant.

    Returns
    -------
    Mark
        With the bar and the last whole beat, in the metre's written unit.
    """
    first = plan.tempo_map.seconds_at(plan.part.start)
    last = plan.times[-1].end
    meant = Seconds(min(max(at, first), last))
    beats = plan.tempo_map.beats_at(meant) + A_HAIR
    place = place_of(plan.part, beats)
    begun = sum(
        bar.number == place.bar and bar.onset <= beats for bar in plan.part.bars
    )
    beat = float(floor(place.beat))
    return Mark(kind, place.bar, beat, meant, by, time=max(1, begun))


def time_of_beat(plan: Plan, bar: int, beat: int, time: int = 1) -> Seconds | None:
    """Tell when a beat of the page is played.

    Parameters
    ----------
    bar : int
        Bar on the page.
    beat : int
        Beat in it, in the metre's written unit, from 1; in a bar that begins later
        its first moment is meant.
    time : int
        Which time through, where the bar is repeated, from 1.

    Returns
    -------
    Seconds or None
        Run time; None where the bar is not played so often, or has no such beat.
    """
    passes = [one for one in plan.part.bars if one.number == bar]
    if not 1 <= time <= len(passes):
        return None
    where = passes[time - 1]
    from_start = max(Fraction(0), beat - where.first_beat) * where.metre.unit_beats
    if from_start >= where.written_length:
        return None
    return plan.tempo_map.seconds_at(Beats(where.onset + where.played_at(from_start)))
