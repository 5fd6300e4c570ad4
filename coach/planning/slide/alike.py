"""Play alike what comes again.

A figure gets one solution wherever it stands (`coach.planning.slide.settling`).  Then
the members of a sequence are begun alike: where most of them slur a note, the others
part it with a soft tongue, and where most of them tongue it, all do.

Notes
-----
The walk with these ties is again the cheapest one, exactly; the ties themselves are
settled one figure after the other, which is no exact search over all of them at once.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from coach.planning.slide.figures import Figure
from coach.planning.slide.moment import Moment
from coach.planning.slide.page_articulation import Begin
from coach.planning.slide.settling import Settling, Ties
from coach.planning.slide.slide_walk import SlideWalk, Stage, find_walk

MOST_ROUNDS = 4
"""How often the walk is found anew after the members of sequences were compared."""


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
    memory = max(1, *(stage.back for stage in stages))
    settling = Settling(moments, stages, walk, memory)
    for figure in figures:
        settling.settle(figure, ties)
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
