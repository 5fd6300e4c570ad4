"""Breathe at like places of the bar, and leave out the notes of like figures.

Each breath by itself has its own cheapest place, and in even notes many cost about the
same.  A player learns one way through bars that go alike, and one way to shorten a
line; so a breath that is unlike the others is moved where they are, if that costs
little more and leaves nobody dry.

Conventions
-----------
A gap is named by the index of the note before it.  Air is counted as depth below half,
as in the search.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from functools import partial
from itertools import pairwise
from operator import itemgetter
from typing import NamedTuple

from coach.last_answers import remembered
from coach.planning.breathing.breath_costs import LIKELY
from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.search.breath_states import INFINITE
from coach.planning.breathing.search.breath_walk import (
    Stop,
    Walk,
    depth_at,
    play_on,
    play_to,
    walk,
)
from coach.planning.breathing.ways.breath_ways import ROUNDING, Way
from coach.planning.breathing.ways.choose_ways import Allowed
from coach.score.phrase import Part

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


def breathe_like_bars(
    places: Places, allowed: Allowed, plain: Walk, apart: AbstractSet[int] = frozenset()
) -> Walk:
    """Give a plan that breathes alike in like bars, where it pays.

    First the notes left out are those of like figures, then at like places of the bar
    whatever the figure, then the other breaths stand at like places of like bars.

    Parameters
    ----------
    apart : set of int
        Gaps where a breath that leaves out no notes is as it is.
    """
    if min(plain.air_after) < places.breather.air.empty_share - ROUNDING:
        return plain
    breaths = plain.breaths
    bars = [
        None if k in apart else number
        for k, number in enumerate(_rhythms(places.passage.part))
    ]
    breathed = partial(_beat_breathed, bars)
    for likeness in (_figure_left_out, _beats_left_out, breathed):
        breaths = _Likened(places, allowed, likeness).liken(breaths)
    return plain if breaths == plain.breaths else walk(places, breaths)


def _figure_left_out(places: Places, k: int, way: Way) -> Label | None:
    """Tell of which figure which notes are left out, in whatever key."""
    if not way.left_out:
        return None
    notes = places.passage.part.notes[k : k + way.left_out + 2]
    keys = [note.sounding.midi for note in notes]
    lengths = tuple(note.length for note in notes[:-1])
    steps = tuple(after - before for before, after in pairwise(keys))
    return (), (notes[0].beat % 1, lengths, steps)


def _beats_left_out(places: Places, k: int, way: Way) -> Label | None:
    """Tell at which beat notes of which length are left out, whatever they are."""
    if not way.left_out:
        return None
    notes = places.passage.part.notes[k : k + way.left_out + 1]
    return (), (notes[0].beat, tuple(note.length for note in notes))


def _beat_breathed(
    bars: Sequence[int | None], places: Places, k: int, way: Way
) -> Label | None:
    """Tell in a bar of which rhythm a breath is taken, and after which beat."""
    gap = places.gaps[k]
    if (
        bars[k] is None
        or way.left_out
        or gap.rest_s > ROUNDING
        or gap.phrase_end >= LIKELY
    ):
        return None
    return bars[k], places.passage.part.notes[k].beat


@remembered
def _rhythms(part: Part) -> tuple[int, ...]:
    """Give each note the number of the rhythm of its bar."""
    bars: list[list[int]] = []
    for k, note in enumerate(part.notes):
        before = part.notes[k - 1]
        if k == 0 or note.bar != before.bar or note.beat < before.beat:
            bars.append([])
        bars[-1].append(k)
    known: dict[Hashable, int] = {}
    numbers: list[int] = []
    for bar in bars:
        rhythm = tuple((part.notes[k].beat, part.notes[k].length) for k in bar)
        numbers += [known.setdefault(rhythm, len(known))] * len(bar)
    return tuple(numbers)


class _Played(NamedTuple):
    """A plan, and where it stops."""

    plan: list[Taken]
    """The breaths."""

    stops: list[Stop]
    """The beginning, and what each breath leads to."""


@dataclass(frozen=True, slots=True)
class _Likened:
    """Makes the breaths of a plan alike in one likeness."""

    places: Places
    allowed: Allowed
    likeness: Likeness
    labels: dict[int, dict[int, Label | None]] = field(default_factory=dict)
    """Of the gaps looked at so far: the label of the ways that leave out so many."""

    def liken(self, breaths: tuple[Taken, ...]) -> tuple[Taken, ...]:
        """Move breaths that are unlike the others of their kind, where it pays."""
        kinds: dict[Hashable, dict[Hashable, list[int]]] = defaultdict(dict)
        for number, breath in enumerate(breaths):
            label = self.likeness(self.places, *breath)
            if label is not None:
                kinds[label[0]].setdefault(label[1], []).append(number)
        unlike = {kind: each for kind, each in kinds.items() if len(each) > 1}
        if not unlike:
            return breaths
        played = _Played(list(breaths), [Stop(0, self.places.start_depth, 0.0)])
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
        self, played: _Played, odd: Sequence[int], wanted: Label
    ) -> tuple[float, _Played]:
        """Move breaths to one place; tell what the plan costs more by it.

        Each that stays unlike has its price.
        """
        plan, stops, more = [*played.plan], [*played.stops], 0.0
        for number in odd:
            dearer, changed = self._price(), stops[:0]
            if not self.allowed.forced[plan[number][0]]:
                first = stops[number].note
                for other in self._others(plan, number, first, wanted):
                    extra, passed = self._extra(plan, number, stops, other)
                    if extra < dearer:
                        dearer, changed, plan[number] = extra, passed, other
            stops[number + 1 : number + 1 + len(changed)] = changed
            more += dearer
        return more, _Played(plan, stops)

    def _others(
        self, plan: Sequence[Taken], number: int, first: int, wanted: Label
    ) -> Iterator[Taken]:
        """Give the ways to take one breath as wanted, at the nearest places."""
        k, way = plan[number]
        last = plan[number + 1][0] if number + 1 < len(plan) else len(self.allowed.ways)
        for near in (range(k, last), range(k - 1, first - 1, -1)):
            found = ((gap, self._wanted(gap, wanted)) for gap in near)
            gap, ways = next((each for each in found if each[1]), (k, []))
            ways.sort(key=lambda other: abs(other.still_empty - way.still_empty))
            for other in ways[:MOST_LENGTHS]:
                yield gap, other

    def _wanted(self, k: int, wanted: Label) -> list[Way]:
        """List the ways to breathe in a gap as wanted."""
        ways = self.allowed.ways[k]
        if k not in self.labels:
            each = {way.left_out: way for way in ways}
            self.labels[k] = {
                count: self.likeness(self.places, k, way) for count, way in each.items()
            }
        labels = self.labels[k]
        return [way for way in ways if labels[way.left_out] == wanted]

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
                if new.depth > old.depth and more >= self._price():
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

    def _price(self) -> float:
        """Tell what is paid at most to have one breath more alike."""
        return self.places.breather.costs.alike_weight


def _odd(each: Mapping[Hashable, list[int]], place: Hashable) -> list[int]:
    """List the breaths of a kind that are not at a place, in order."""
    others = (numbers for other, numbers in each.items() if other != place)
    return sorted(number for numbers in others for number in numbers)
