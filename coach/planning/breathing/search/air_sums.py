"""What lack of air costs over any stretch of whole notes, at once.

Below half each second costs in proportion to the depth, and the depth at each note is
that of the first one and the air used since: so running totals over the notes give the
cost of any stretch with no breath in it, however long.  Only what is played beyond
empty is weighed note by note.

Conventions
-----------
Air is counted as depth: how far below half it is, as a fraction of capacity.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise
from typing import NamedTuple

from coach.planning.breathing.breath_costs import AirCosts


class Demand(NamedTuple):
    """What one whole note asks of the player; a tuple, since a plan makes thousands."""

    used: float
    """Air that it uses, as a fraction of capacity."""

    sounding_s: float
    """How long it sounds, in seconds."""

    high: float
    """Weight of being high; 0 for other notes."""


@dataclass(frozen=True, slots=True)
class AirSums:
    """Running totals before each note, and at last over all notes."""

    notes: tuple[Demand, ...]
    """What each note asks."""

    costs: AirCosts
    """What lack of air costs."""

    used: tuple[float, ...]
    """Air."""

    below_half: tuple[float, ...]
    """Cost of playing one whole capacity below half."""

    used_below_half: tuple[float, ...]
    """Cost of playing below half by what has been used since the start."""

    below_low: tuple[float, ...]
    """Cost of playing one whole capacity below low, besides."""

    used_below_low: tuple[float, ...]
    """Cost of playing below low by what has been used since the start, besides."""

    def of_each(self, ats: Iterable[float], first: int, end: int) -> list[float]:
        """Weigh the same notes, played on one breath, for each of several depths.

        Parameters
        ----------
        ats : iterable of float
            Depths as `of_stretch` takes them, all of them below half at the end.
        first, end : int
            The first of the notes, and the first that is none of them.
        """
        used, notes, costs = self.used, self.notes, self.costs
        deepest = costs.low_depth - used[end]
        half_weight = costs.half_weight / 2
        below_half, used_below_half = self.below_half, self.used_below_half
        weight, used_weight = below_half[end], used_below_half[end]
        weighed = []
        for at in ats:
            if at > deepest:
                weighed.append(self.of_stretch(at, first, end))
                continue
            half = bisect_right(used, -at, first + 1, end + 1) - 1
            cost = at * (weight - below_half[half])
            cost += used_weight - used_below_half[half]
            start = at + used[half]
            if start < 0.0:
                _, sounding_s, high = notes[half]
                cost -= start * (half_weight * sounding_s + high)
            weighed.append(cost)
        return weighed

    def of_stretch(self, at: float, first: int, end: int) -> float:
        """Weigh some notes played on one breath.

        Parameters
        ----------
        at : float
            Depth before any of them, less the air used from the start up to there.
        first, end : int
            The first of them, and the first that is none of them.
        """
        costs, used = self.costs, self.used
        cost, dry, low = 0.0, end, end
        if at + used[end] > costs.low_depth:
            dry = bisect_right(used, costs.empty_depth - at, first + 1, end + 1) - 1
            low = bisect_right(used, costs.low_depth - at, first + 1, dry + 1) - 1
            cost = at * (self.below_low[dry] - self.below_low[low])
            cost += self.used_below_low[dry] - self.used_below_low[low]
        half = bisect_right(used, -at, first + 1, low + 1) - 1
        cost += at * (self.below_half[dry] - self.below_half[half])
        cost += self.used_below_half[dry] - self.used_below_half[half]
        start = at + used[half]
        if start < 0.0 and half < dry:
            # Only the part of this note below half counts, and it began above.
            note = self.notes[half]
            cost -= start * (costs.half_weight * note.sounding_s / 2 + note.high)
        for k in range(dry, end):
            note = self.notes[k]
            before, after = at + used[k], at + used[k + 1]
            cost += costs.of_note(before, after, note.sounding_s, note.high)
        return cost


def add_up(notes: Sequence[Demand], costs: AirCosts) -> AirSums:
    """Add up what notes ask, and what it costs below half and below low."""
    used = tuple(accumulate((note.used for note in notes), initial=0.0))
    halves = [costs.half_weight * note.sounding_s for note in notes]
    lows = [costs.low_weight * note.sounding_s for note in notes]
    spans = list(pairwise(used))
    return AirSums(
        notes=tuple(notes),
        costs=costs,
        used=used,
        below_half=_sums(h + note.high for h, note in zip(halves, notes, strict=True)),
        used_below_half=_sums(
            half * (before + after) / 2 + note.high * before
            for half, note, (before, after) in zip(halves, notes, spans, strict=True)
        ),
        below_low=_sums(lows),
        used_below_low=_sums(
            low * (after - costs.low_depth)
            for low, (_, after) in zip(lows, spans, strict=True)
        ),
    )


def _sums(values: Iterable[float]) -> tuple[float, ...]:
    """Give the total before each value, and at last of all."""
    return tuple(accumulate(values, initial=0.0))
