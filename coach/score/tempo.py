"""Score time, run time, and the one way from the first to the second.

Conventions
-----------
`Beats` are exact quarter notes from the first beat of bar 1 (or of the segment);
a pickup lies before zero.  `Seconds` are run time from that same moment.  The type
checker keeps the two apart; only a `TempoMap` turns one into the other.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from typing import NewType

Beats = NewType("Beats", Fraction)
Seconds = NewType("Seconds", float)

SECONDS_PER_MINUTE = 60.0


def beats(value: Fraction | int | str) -> Beats:
    """Make exact quarter notes from a whole number, a fraction or ``"3/2"``.

    Examples
    --------
    >>> beats("3/2")
    Fraction(3, 2)
    """
    return Beats(Fraction(value))


@dataclass(frozen=True, slots=True)
class Tempo:
    """A beat unit and how many of them there are in a minute."""

    bpm: float
    """Beats per minute; greater than 0."""

    beat: Beats
    """Length of the beat that is counted, in quarter notes: 3/2 in 6/8."""

    @property
    def quarters_per_minute(self) -> float:
        """The same speed counted in quarter notes."""
        return self.bpm * float(self.beat)


@dataclass(frozen=True, slots=True)
class TempoMark:
    """From here on, this speed."""

    at: Beats
    """Where the speed begins."""

    quarters_per_minute: float
    """Quarter notes per minute; greater than 0."""


def speed_at(marks: Sequence[TempoMark], place: Beats) -> float:
    """Give the speed in force at a place, in quarter notes a minute.

    Parameters
    ----------
    marks : sequence of TempoMark
        At least one, in order of place; the first holds for what comes before it too.
    """
    k = bisect_right(marks, place, key=lambda mark: mark.at) - 1
    return marks[max(0, k)].quarters_per_minute


@dataclass(frozen=True, slots=True)
class TempoMap:
    """Every speed of a part, in order, and where each begins.

    The first mark also holds for all that comes before it, so that a pickup has
    a time.

    Examples
    --------
    >>> slow_then_fast = TempoMap((TempoMark(beats(0), 60), TempoMark(beats(4), 120)))
    >>> slow_then_fast.seconds_at(beats(6))
    5.0
    >>> slow_then_fast.beats_at(Seconds(5.0))
    6.0
    """

    marks: tuple[TempoMark, ...]
    """At least one, in increasing order of place."""

    _places: tuple[float, ...] = field(init=False, repr=False, compare=False)
    """Each mark's place as a float: times need no more, and floats are quick."""

    _starts: tuple[float, ...] = field(init=False, repr=False, compare=False)
    """When each mark comes, in run time."""

    _paces: tuple[float, ...] = field(init=False, repr=False, compare=False)
    """Seconds that a quarter note lasts from each mark on."""

    def __post_init__(self) -> None:
        """Refuse a map that cannot tell the time; add up the stretches once."""
        if not self.marks:
            raise ValueError("a tempo map needs at least one mark")
        if any(mark.quarters_per_minute <= 0 for mark in self.marks):
            raise ValueError("a tempo must be greater than 0")
        places = [mark.at for mark in self.marks]
        if any(b <= a for a, b in pairwise(places)):
            raise ValueError("tempo marks must stand in increasing order")
        paces = [SECONDS_PER_MINUTE / mark.quarters_per_minute for mark in self.marks]
        starts = [0.0]
        for (mark, following), pace in zip(pairwise(self.marks), paces, strict=False):
            starts.append(starts[-1] + float(following.at - mark.at) * pace)
        object.__setattr__(self, "_places", tuple(map(float, places)))
        object.__setattr__(self, "_starts", tuple(starts))
        object.__setattr__(self, "_paces", tuple(paces))
        zero = self.seconds_at(beats(0))
        object.__setattr__(self, "_starts", tuple(start - zero for start in starts))

    def seconds_at(self, place: Beats) -> Seconds:
        """Tell when a place of the page comes, in run time."""
        where = float(place)
        k = max(0, bisect_right(self._places, where) - 1)
        return Seconds(self._starts[k] + (where - self._places[k]) * self._paces[k])

    def beats_at(self, time: Seconds) -> float:
        """Tell which place sounds at a run time, in quarter notes (not exact)."""
        k = max(0, bisect_right(self._starts, time) - 1)
        return self._places[k] + (time - self._starts[k]) / self._paces[k]

    def quarters_per_minute_at(self, place: Beats) -> float:
        """Tell the speed in force at a place, in quarter notes per minute."""
        return speed_at(self.marks, place)

    def faster(self, factor: float) -> TempoMap:
        """Give the same changes at `factor` times the speed."""
        return TempoMap(
            tuple(
                TempoMark(mark.at, mark.quarters_per_minute * factor)
                for mark in self.marks
            )
        )

    def shifted(self, start: Beats, end: Beats) -> TempoMap:
        """Give the map of the stretch from `start` to `end`, with `start` as zero."""
        first = TempoMark(beats(0), self.quarters_per_minute_at(start))
        later = tuple(
            TempoMark(Beats(mark.at - start), mark.quarters_per_minute)
            for mark in self.marks
            if start < mark.at < end
        )
        return TempoMap((first, *later))
