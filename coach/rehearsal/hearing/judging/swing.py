"""Notes in pairs, long and short: a style, and no dragging of every second one.

Conventions
-----------
Times are in seconds; behind is positive.  A pair fills a unit: a beat, or half of one.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.judging.judging_settings import SwingSettings

HALF = 0.5
NEAR_SHARE = 0.02
"""A place that differs by this share of a unit is the same."""


@dataclass(frozen=True, slots=True)
class Swing:
    """How pairs of notes are swung."""

    unit_s: float
    """How long a pair is."""

    delay_s: float
    """How far behind the second note of each pair is, the first in time."""

    @property
    def ratio(self) -> float:
        """How many times as long as the second note the first is."""
        half = HALF * self.unit_s
        return (half + self.delay_s) / (half - self.delay_s)

    def delays_s(self, place: float) -> float:
        """Tell how far behind a note is that stands in a unit, from 0 to 1."""
        return self.delay_s * (1.0 - abs(place - HALF) / HALF)


def find_swing(
    due: DuePart, late: Sequence[float | None], settings: SwingSettings
) -> Swing | None:
    """Tell how a player swings pairs of notes; None where most are played even.

    Each second note is told against the notes on either side: who only goes slower or
    faster swings nothing.

    References
    ----------
    A. Friberg and A. Sundstroem, Swing ratios and ensemble timing in jazz performance,
    Music Perception 19 (2002), 333-349, from memory: long to short is 1 to 1 in quick
    tempi and up to 3.5 to 1 in slow ones.
    """
    for unit_s in (float(due.beat), HALF * float(due.beat)):
        delays = list(_delays(due, late, unit_s))
        if len(delays) < settings.least_count:
            continue
        delay = median(delays)
        held = sum(one >= HALF * delay for one in delays) / len(delays)
        least_s = max(settings.least_s, settings.least_share * unit_s)
        if least_s <= delay < HALF * unit_s and held >= settings.held_share:
            return Swing(unit_s, delay)
    return None


def swung_s(due: DuePart, swing: Swing) -> list[float]:
    """Tell how far behind each note is by the swing alone."""
    return [swing.delays_s(place) for place in _places(due, swing.unit_s)]


def _delays(
    due: DuePart, late: Sequence[float | None], unit_s: float
) -> Iterator[float]:
    """Give how far each second note of a pair is behind those on either side."""
    places = _places(due, unit_s)
    firsts = [k for k, place in enumerate(places) if place == 0.0]
    for a, b in pairwise(firsts):
        lasts_s = float(due.notes[b].due - due.notes[a].due)
        is_unit = abs(lasts_s - unit_s) < NEAR_SHARE * unit_s
        seconds = [k for k in range(a, b) if abs(places[k] - HALF) < NEAR_SHARE]
        before, after = late[a], late[b]
        if not is_unit or before is None or after is None:
            continue
        for own in (late[k] for k in seconds):
            if own is not None:
                yield own - HALF * (before + after)


def _places(due: DuePart, unit_s: float) -> list[float]:
    """Tell where in its unit each note stands, from 0 to 1; 0 where it begins one."""
    starts = due.bar_starts or (due.notes[0].due,)
    near_s = NEAR_SHARE * unit_s
    places = []
    for note in due.notes:
        bar = max(0, bisect_right(starts, note.due + near_s) - 1)
        place = float(note.due - starts[bar]) / unit_s % 1.0
        places.append(0.0 if min(place, 1.0 - place) < NEAR_SHARE else place)
    return places
