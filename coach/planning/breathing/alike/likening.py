"""Make the breaths of a plan alike in some likeness, one after the other.

A breath that is unlike the others of its kind is taken as they are, if that costs
little more and leaves nobody dry.

Conventions
-----------
A gap is named by the index of the note before it.  Air is counted as depth below half,
as in the search.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import groupby, islice
from operator import attrgetter, itemgetter
from typing import NamedTuple

from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.search.breath_states import INFINITE
from coach.planning.breathing.search.breath_walk import (
    Stop,
    depth_at,
    play_on,
    play_to,
)
from coach.planning.breathing.ways.breath_ways import ROUNDING, Way
from coach.planning.breathing.ways.choose_ways import Allowed

MOST_TRIED = 2
"""Of places that are breathed at equally often, so many are tried for the others."""

MOST_LENGTHS = 3
"""Lengths of breath tried at another place: those that fill most nearly as much."""

Taken = tuple[int, Way]
"""A breath: its gap, and the way it is taken."""

Label = tuple[Hashable, Hashable]
"""What breaths have in common that are to be alike, and what is alike in them."""

Likeness = Callable[[Places, int, Way], Label | None]
"""Labels a breath; None for one that has its place for a reason of its own."""


class PlanWithStops(NamedTuple):
    """A plan, and where it stops."""

    plan: list[Taken]
    """The breaths."""

    stops: list[Stop]
    """The beginning, and what each breath leads to."""


@dataclass(frozen=True, slots=True)
class Likened:
    """Makes the breaths of a plan alike in one likeness."""

    places: Places
    allowed: Allowed
    likeness: Likeness
    price: float
    """What is paid at most to have one breath more alike."""
    stays: bool = False
    """Breaths stay where they are, and only how they are taken is made alike."""
    labels: dict[int, dict[Label, list[Way]]] = field(default_factory=dict)
    """Of the gaps looked at so far: the ways to breathe there, by their labels."""

    def liken(self, breaths: tuple[Taken, ...]) -> tuple[Taken, ...]:
        """Change breaths that are unlike the others of their kind, where it pays."""
        kinds: dict[Hashable, dict[Hashable, list[int]]] = defaultdict(dict)
        for number, breath in enumerate(breaths):
            label = self.likeness(self.places, *breath)
            if label is not None:
                kinds[label[0]].setdefault(label[1], []).append(number)
        unlike = {kind: each for kind, each in kinds.items() if len(each) > 1}
        if not unlike:
            return breaths
        played = PlanWithStops(list(breaths), [Stop(0, self.places.start_depth, 0.0)])
        for breath in breaths:
            played.stops.append(play_to(self.places, played.stops[-1], *breath))
        for kind, each in unlike.items():
            most = max(len(numbers) for numbers in each.values())
            common = [place for place, numbers in each.items() if len(numbers) == most]
            tried = [
                self._moved(played, _odd(each, place), (kind, place))
                for place in common[:MOST_TRIED]
            ]
            played = min(tried, key=itemgetter(0))[1]
        return tuple(played.plan)

    def _moved(
        self, played: PlanWithStops, odd: Sequence[int], wanted: Label
    ) -> tuple[float, PlanWithStops]:
        """Move breaths to one place; tell what the plan costs more by it.

        Each that stays unlike has its price.
        """
        plan, stops, more = [*played.plan], [*played.stops], 0.0
        for number in odd:
            dearer, changed = self.price, stops[:0]
            if self.stays or not self.allowed.forced[plan[number][0]]:
                first, left = stops[number].note, self.allowed.price(plan[number][0])
                for other in self._others(plan, number, first, wanted):
                    extra, passed = self._extra(plan, number, stops, other)
                    extra += self.allowed.price(other[0]) - left
                    if extra < dearer:
                        dearer, changed, plan[number] = extra, passed, other
            stops[number + 1 : number + 1 + len(changed)] = changed
            more += dearer
        return more, PlanWithStops(plan, stops)

    def _others(
        self, plan: Sequence[Taken], number: int, first: int, wanted: Label
    ) -> Iterator[Taken]:
        """Give the ways to take one breath as wanted, at the nearest places."""
        k, way = plan[number]
        last = plan[number + 1][0] if number + 1 < len(plan) else len(self.allowed.ways)
        here, before = range(k, k + 1), range(k - 1, first - 1, -1)
        for near in (here,) if self.stays else (range(k, last), before):
            for gap in islice((k for k in near if self._wanted(k, wanted)), 1):
                ways = sorted(
                    self._wanted(gap, wanted),
                    key=lambda other: abs(other.still_empty - way.still_empty),
                )
                yield from ((gap, other) for other in ways[:MOST_LENGTHS])

    def _wanted(self, k: int, wanted: Label) -> Sequence[Way]:
        """List the ways to breathe in a gap as wanted."""
        if k not in self.labels:
            self.labels[k] = self._labelled(k)
        return self.labels[k].get(wanted, ())

    def _labelled(self, k: int) -> dict[Label, list[Way]]:
        """Label the ways to breathe in a gap: each, or all that leave out as many."""
        labels: dict[Label, list[Way]] = {}
        key = None if self.stays else attrgetter("left_out")
        for _, alike in groupby(self.allowed.ways[k], key):
            ways = list(alike)
            label = self.likeness(self.places, k, ways[0])
            if label is not None:
                labels.setdefault(label, []).extend(ways)
        return labels

    def _extra(
        self,
        plan: Sequence[Taken],
        number: int,
        stops: Sequence[Stop],
        other: Taken,
    ) -> tuple[float, list[Stop]]:
        """Tell what a plan costs more with another breath in place of one.

        It is played on until the air is what it was; infinite where a breath comes to
        be for nothing or on another's heels, or somebody dry.  Gives, too, where the
        plan stops from then on until it is.
        """
        new, more = stops[number], 0.0
        passed: list[Stop] = []
        for later, old in enumerate(stops[number + 1 :], number):
            taken = other if later == number else plan[later]
            if not self._is_sound(new, taken):
                return INFINITE, []
            new = play_to(self.places, new, *taken)
            more += new.cost - old.cost
            passed.append(new)
            if later > number:
                if (new.note, new.depth) == (old.note, old.depth):
                    return more, passed
                if new.depth > old.depth and more >= self.price:
                    return INFINITE, []
        end = len(self.places.notes)
        if depth_at(self.places, new, end) > self.places.costs.empty_depth + ROUNDING:
            return INFINITE, []
        more += play_on(self.places, new, end) - play_on(self.places, stops[-1], end)
        return more, passed

    def _is_sound(self, before: Stop, taken: Taken) -> bool:
        """Tell whether a breath may follow another, is worth it, and finds air left."""
        k, way = taken
        depth = depth_at(self.places, before, k) + way.used
        if depth > self.places.costs.empty_depth + ROUNDING:
            return False
        is_free = before.note <= self.places.ripe_from[k]
        is_worth = depth >= way.worth_depth - ROUNDING
        return self.allowed.forced[k] or (is_free and is_worth)


def _odd(each: Mapping[Hashable, list[int]], place: Hashable) -> list[int]:
    """List the breaths of a kind that are not at a place, in order."""
    others = (numbers for other, numbers in each.items() if other != place)
    return sorted(number for numbers in others for number in numbers)
