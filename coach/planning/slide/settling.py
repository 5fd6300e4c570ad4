"""Settle one solution for each figure that comes again.

One that mostly comes right after itself is played as its cheapest loop: the cheapest
way through it that ends where it began.  Any other takes, of the ways that the
cheapest free walk found for it here and there, the one that costs least over all its
places, beside what was settled so far.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field

from coach.planning.instrument.placement import Placement
from coach.planning.slide.figures import Figure
from coach.planning.slide.moment import Moment, NoteWay
from coach.planning.slide.slide_walk import SlideWalk, Stage, find_walk

MOST_CANDIDATES = 4
"""Ways of playing a figure that are compared."""


@dataclass(slots=True)
class Ties:
    """What is settled so far, by the index of the note."""

    places: dict[int, Placement] = field(default_factory=dict)
    """Where it must be played."""

    strokes: dict[int, bool] = field(default_factory=dict)
    """Whether it must be tongued."""

    def tie(
        self,
        moments: Sequence[Moment],
        k: int,
        model: int,
        way: NoteWay,
        *,
        is_first: bool,
    ) -> None:
        """Have a note played as another one is; the first of a figure begun freely."""
        self.places[k] = way.place
        if not is_first and are_alike(moments, k, model):
            self.strokes[k] = way.is_stroke

    def allowed(self, moments: Sequence[Moment], k: int) -> Collection[int] | None:
        """Give the choices that a note has left; None for all."""
        place, stroke = self.places.get(k), self.strokes.get(k)
        if place is None and stroke is None:
            return None
        return [
            choice
            for choice, way in enumerate(moments[k].ways)
            if place in (None, way.place) and stroke in (None, way.is_stroke)
        ]


@dataclass(frozen=True, slots=True)
class Settling:
    """Finds the one solution of each figure."""

    moments: Sequence[Moment]
    """All notes."""

    stages: Sequence[Stage]
    """What every step costs."""

    free: SlideWalk
    """The cheapest walk with no ties: its ways are compared."""

    memory: int
    """For how many notes a pitch is remembered."""

    def settle(self, figure: Figure, ties: Ties) -> None:
        """Tie all copies of a figure to one solution."""
        loop = _loop_start(figure)
        if loop is None:
            start, *others = self._found(figure)
            if others:
                costs = {k: self._cost_of(figure, k, ties) for k in (start, *others)}
                start = min(costs, key=costs.__getitem__)
            self._tie(figure, start, self.free.choices[start:], ties)
            return
        choices = cheapest_loop(self.moments, self.stages, loop, figure.size)
        self._tie(figure, loop, choices, ties)
        joint = loop + figure.size
        is_stroke = self.moments[joint].ways[choices[-1]].is_stroke
        for copy in _joints(figure):
            if are_alike(self.moments, copy, joint):
                ties.strokes[copy] = is_stroke

    def _found(self, figure: Figure) -> Sequence[int]:
        """Give a copy for each way that the free walk plays a figure in."""
        ways: dict[tuple[object, ...], int] = {}
        for start in figure.starts:
            first, *rest = self.free.choices[start : start + figure.size]
            place = self.moments[start].ways[first].place
            ways.setdefault((place, *rest), start)
        return list(ways.values())[:MOST_CANDIDATES]

    def _tie(
        self, figure: Figure, model: int, choices: Sequence[int], ties: Ties
    ) -> None:
        """Tie all copies of a figure to some choices for the notes of one of them."""
        for j in range(figure.size):
            way = self.moments[model + j].ways[choices[j]]
            for start in figure.starts:
                ties.tie(self.moments, start + j, model + j, way, is_first=j == 0)

    def _cost_of(self, figure: Figure, model: int, ties: Ties) -> float:
        """Add up what it costs to play all copies as one of them.

        The notes around each copy are played where they are tied to, or else where
        the free walk has them: as many as a pitch is remembered for.
        """
        known = Ties(self._places_around(figure, ties))
        self._tie(figure, model, self.free.choices[model:], known)
        total = 0.0
        for start in figure.starts:
            first, last = self._around(figure, start)
            allowed = [known.allowed(self.moments, k) for k in range(first, last)]
            before = known.allowed(self.moments, first - 1) if first else None
            inside = self.stages[first:last]
            total += find_walk(inside, allowed, min(before or (0,))).cost
        return total

    def _places_around(self, figure: Figure, ties: Ties) -> dict[int, Placement]:
        """Give the places of the notes in and around all copies, as known so far."""
        places = {}
        for start in figure.starts:
            first, last = self._around(figure, start)
            for k in range(max(0, first - 1), last):
                way = self.moments[k].ways[self.free.choices[k]]
                places[k] = ties.places.get(k, way.place)
        return places

    def _around(self, figure: Figure, start: int) -> tuple[int, int]:
        """Give the notes that a copy is weighed with: the first, and the one after."""
        return (
            max(0, start - self.memory),
            min(len(self.stages), start + figure.size + self.memory),
        )


def _joints(figure: Figure) -> Iterator[int]:
    """Give the first notes of copies that stand right after another."""
    known = set(figure.starts)
    return (start for start in figure.starts if start - figure.size in known)


def _loop_start(figure: Figure) -> int | None:
    """Find a copy that comes again at once; None if most copies stand alone."""
    joints = set(_joints(figure))
    in_a_row = joints | {joint - figure.size for joint in joints}
    if 2 * len(in_a_row) <= len(figure.starts):
        return None
    return min(in_a_row)


def cheapest_loop(
    moments: Sequence[Moment], stages: Sequence[Stage], start: int, size: int
) -> tuple[int, ...]:
    """Find the cheapest way through a figure that ends in the place it began in.

    The last choice is that of the first note of the copy that follows.
    """
    end = start + size
    inside = stages[start + 1 : end + 1]
    loops = []
    for first, way in enumerate(moments[start].ways):
        back = [k for k, w in enumerate(moments[end].ways) if w.place == way.place]
        allowed: list[Collection[int] | None] = [None] * (size - 1)
        walk = find_walk(inside, [*allowed, back], first)
        loops.append((walk.cost, (first, *walk.choices)))
    return min(loops)[1]


def are_alike(moments: Sequence[Moment], k: int, other: int) -> bool:
    """Tell whether two notes may be begun alike: on equally strong places."""
    one, two = moments[k], moments[other]
    return one.begin is two.begin and one.is_strong == two.is_strong
