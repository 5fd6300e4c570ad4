"""A choice of breaths, played through with true air: what it costs in all."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.ways.breath_ways import Way


@dataclass(frozen=True, slots=True)
class Walk:
    """A choice of breaths, played through with true air."""

    breaths: tuple[tuple[int, Way], ...]
    """Gap and way of each breath, in order."""

    air_before: tuple[float, ...]
    """Air at the start of each note."""

    air_after: tuple[float, ...]
    """Air at the end of each note."""

    cost: float
    """What it costs in all."""


def walk(places: Places, breaths: Sequence[tuple[int, Way]]) -> Walk:
    """Play breaths through with true air.

    Parameters
    ----------
    breaths : sequence of (int, Way)
        Gap and way of each breath, in order.
    """
    taken = dict(breaths)
    half = places.lungs.half
    depth, cost = places.start_depth, 0.0
    before, after = [], []
    k = since = 0
    while k < len(places.notes):
        note, way = places.notes[k], taken.get(k)
        used = note.used if way is None else way.used
        seconds = note.sounding_s if way is None else way.sounding_s
        end = depth + used
        cost += places.costs.of_note(depth, end, seconds, note.high)
        before.append(half - depth)
        after.append(half - end)
        depth = end
        k += 1
        if way is not None:
            depth = places.lungs.breathe(end, way.still_empty)
            cost += way.cost + cost_of_snatching(places, since, k - 1)
            before += [half - depth] * way.left_out
            after += [half - depth] * way.left_out
            k = since = k + way.left_out
        elif k <= len(places.gaps):
            cost += cost_of_going_on(places, k - 1, half - before[-1])
    return Walk(tuple(breaths), tuple(before), tuple(after), cost)


class Stop(NamedTuple):
    """Where a plan that is played through has come to."""

    note: int
    """The next note."""

    depth: float
    """How far below half the air is before it, as a fraction of capacity."""

    cost: float
    """What it costs to come here from the stop before."""


def play_to(places: Places, start: Stop, k: int, way: Way) -> Stop:
    """Play on up to a breath after a note, and take it in a way."""
    before = play_on(places, start, k)
    depth = depth_at(places, start, k)
    end = depth + way.used
    high = places.notes[k].high
    cost = before + places.costs.of_note(depth, end, way.sounding_s, high) + way.cost
    cost += cost_of_snatching(places, start.note, k)
    filled = places.lungs.breathe(end, way.still_empty)
    return Stop(k + 1 + way.left_out, filled, cost)


def play_on(places: Places, start: Stop, end: int) -> float:
    """Tell what it costs to come to a note without a breath."""
    at = start.depth - places.used_before[start.note]
    cost = places.sums.of_stretch(at, start.note, end)
    cost += places.going_on_before[end] - places.going_on_before[start.note]
    first = bisect_left(places.sparing, start.note)
    for k in places.sparing[first : bisect_left(places.sparing, end, first)]:
        if at + places.used_before[k] < places.too_full_depth[k]:
            cost -= places.gaps[k].going_on_cost - places.too_full_cost[k]
    return cost


def cost_of_snatching(places: Places, since: int, k: int) -> float:
    """Weigh a breath after a note by the note that the one before it preceded."""
    return places.snatched_cost if since > places.rested_from[k] else 0.0


def cost_of_going_on(places: Places, k: int, depth: float) -> float:
    """Weigh going on after a note without a breath, by the depth before that note."""
    if depth >= places.too_full_depth[k]:
        return places.gaps[k].going_on_cost
    return places.too_full_cost[k]


def depth_at(places: Places, start: Stop, k: int) -> float:
    """Tell how far below half the air is before a note reached without a breath."""
    return start.depth + places.used_before[k] - places.used_before[start.note]
