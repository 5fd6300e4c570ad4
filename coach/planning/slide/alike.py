"""Play alike what comes again.

A figure gets one solution wherever it stands.  One that mostly comes right after
itself is played as its cheapest loop: the cheapest way through it that ends where it
began.  Any other takes, of the ways that the cheapest free walk found for it here and
there, the one that costs least over all its places.  Then the members of a sequence are
begun alike: where most of them slur a note, the others part it with a soft tongue,
and where most of them tongue it, all do.

Notes
-----
The walk with these ties is again the cheapest one, exactly; the ties themselves are
settled one figure after the other, which is no exact search over all of them at once.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from coach.planning.instrument.placement import Placement
from coach.planning.slide.figures import Figure
from coach.planning.slide.moment import Moment, NoteWay
from coach.planning.slide.page_articulation import Begin
from coach.planning.slide.slide_walk import SlideWalk, Stage, find_walk

MOST_CANDIDATES = 4
"""Ways of playing a figure that are compared."""

MOST_ROUNDS = 4
"""How often the walk is found anew after the members of sequences were compared."""


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
        if not is_first and _are_alike(moments, k, model):
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


def walk_alike(
    moments: Sequence[Moment],
    stages: Sequence[Stage],
    figures: Sequence[Figure],
    sequences: Sequence[Figure],
) -> tuple[SlideWalk, frozenset[int]]:
    """Find the cheapest walk that plays alike what comes again.

    Parameters
    ----------
    stages : sequence of Stage, length n
        What every step costs.

    Returns
    -------
    walk : SlideWalk
        The cheapest of the walks that keep the ties.
    soft : frozenset of int
        Tongued notes whose fellows in a sequence are slurred: a soft tongue for
        these.
    """
    ties = Ties()
    walk = _walk(moments, stages, ties)
    for figure in figures:
        _settle(moments, stages, figure, walk, ties)
    if ties.places:
        walk = _walk(moments, stages, ties)
    groups = [
        group
        for group in _groups(moments, figures, sequences)
        if moments[group[0]].begin is Begin.OPEN
    ]
    for _ in range(MOST_ROUNDS):
        hard = [g for g in groups if 0 < _slurred(moments, walk, g) < len(g) / 2]
        if not hard:
            break
        for group in hard:
            ties.strokes.update(dict.fromkeys(group, True))
        walk = _walk(moments, stages, ties)
    soft = (group for group in groups if _slurred(moments, walk, group))
    return walk, frozenset(
        k for group in soft for k in group if _is_stroke(moments, walk, k)
    )


def _walk(moments: Sequence[Moment], stages: Sequence[Stage], ties: Ties) -> SlideWalk:
    """Find the cheapest walk that keeps some ties."""
    if not ties.places and not ties.strokes:
        return find_walk(stages)
    return find_walk(stages, [ties.allowed(moments, k) for k in range(len(moments))])


def _settle(
    moments: Sequence[Moment],
    stages: Sequence[Stage],
    figure: Figure,
    walk: SlideWalk,
    ties: Ties,
) -> None:
    """Tie all copies of a figure to one solution."""
    loop = _loop_start(figure)
    if loop is None:
        start, choices = _vote(moments, stages, figure, walk)
    else:
        start, choices = loop, _cheapest_loop(moments, stages, loop, figure.size)
    ways = [moments[start + j].ways[choice] for j, choice in enumerate(choices)]
    for copy in figure.starts:
        for j, way in enumerate(ways[: figure.size]):
            ties.tie(moments, copy + j, start + j, way, is_first=j == 0)
    if loop is None:
        return
    joint = loop + figure.size
    for copy in _joints(figure):
        if _are_alike(moments, copy, joint):
            ties.strokes[copy] = ways[-1].is_stroke


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


def _cheapest_loop(
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


def _vote(
    moments: Sequence[Moment], stages: Sequence[Stage], figure: Figure, walk: SlideWalk
) -> tuple[int, tuple[int, ...]]:
    """Find which copy's way costs least when all copies are played so."""
    ways: dict[tuple[object, ...], int] = {}
    for start in figure.starts:
        first, *rest = walk.choices[start : start + figure.size]
        ways.setdefault((moments[start].ways[first].place, *rest), start)
    if len(ways) == 1:
        best = figure.starts[0]
    else:
        best = min(
            list(ways.values())[:MOST_CANDIDATES],
            key=lambda start: _cost_of(moments, stages, figure, walk, start),
        )
    return best, walk.choices[best : best + figure.size]


def _cost_of(
    moments: Sequence[Moment],
    stages: Sequence[Stage],
    figure: Figure,
    walk: SlideWalk,
    model: int,
) -> float:
    """Add up what it costs to play all copies of a figure as one of them."""
    ways = [
        moments[model + j].ways[walk.choices[model + j]] for j in range(figure.size)
    ]
    total = 0.0
    for start in figure.starts:
        before = walk.choices[start - 1] if start else 0
        inside = stages[start : start + figure.size + 1]
        ties = Ties()
        for j, way in enumerate(ways):
            ties.tie(moments, start + j, model + j, way, is_first=j == 0)
        allowed = [ties.allowed(moments, start + j) for j in range(len(inside))]
        total += find_walk(inside, allowed, before).cost
    return total


def _are_alike(moments: Sequence[Moment], k: int, other: int) -> bool:
    """Tell whether two notes may be begun alike: on equally strong places."""
    one, two = moments[k], moments[other]
    return one.begin is two.begin and one.is_strong == two.is_strong


def _groups(
    moments: Sequence[Moment], figures: Sequence[Figure], sequences: Sequence[Figure]
) -> list[tuple[int, ...]]:
    """Give the groups of notes that must be begun alike."""
    root: dict[int, int] = {}

    def find(k: int) -> int:
        while root.setdefault(k, k) != k:
            k = root[k]
        return k

    for alike in _alike(figures, sequences):
        first, *others = alike
        for other in others:
            root[find(other)] = find(first)
    groups = defaultdict(list)
    for k in root:
        groups[find(k), moments[k].is_strong].append(k)
    return [tuple(group) for group in groups.values()]


def _alike(
    figures: Sequence[Figure], sequences: Sequence[Figure]
) -> Iterator[Iterable[int]]:
    """Give notes that stand at the same place of the same figure."""
    for figure in (*figures, *sequences):
        for j in range(1, figure.size):
            yield (start + j for start in figure.starts)
    for figure in sequences:
        yield figure.starts[1:]


def _slurred(moments: Sequence[Moment], walk: SlideWalk, group: Sequence[int]) -> int:
    """Count the notes of a group that are slurred."""
    return sum(not _is_stroke(moments, walk, k) for k in group)


def _is_stroke(moments: Sequence[Moment], walk: SlideWalk, k: int) -> bool:
    """Tell whether a note is tongued."""
    return moments[k].ways[walk.choices[k]].is_stroke
