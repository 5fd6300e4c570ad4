"""The same music, the same breath: in repeats, in like phrases, from plan to plan.

Each pass by itself may have its own cheapest breaths.  A player learns one way, so
the passes of a repeat, and a phrase that is written out again, on whatever step of the
scale, are planned alike where that costs little more and leaves nobody dry.  And
after an edit or a notch of tempo the cheapest plan may lie a hair below one that
breathes as before: each change of place has a price there.

Conventions
-----------
Two gaps are twins where the same note of the page follows the same, or where both
stand at one place of a stretch of notes that comes again.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from itertools import pairwise

from coach.last_answers import remembered
from coach.planning.breathing.alike.numbering import number_alike
from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.search.breath_search import find_breaths
from coach.planning.breathing.search.breath_walk import Walk
from coach.planning.breathing.ways.breath_ways import ROUNDING, Gap
from coach.planning.breathing.ways.choose_ways import Allowed
from coach.score.note import Note
from coach.score.phrase import Part

LEAST_ALIKE = 12
"""So many notes that come again may be a phrase; fewer are a figure ..."""

LEAST_ALIKE_BARS = 2
"""... and so are those that last for less."""

MOST_PASSES = 4
"""What comes more often is a figure, breathed only now and then."""

MOST_NOTES_AGAIN = 5_000
"""Searched again for the sake of likeness at most: long parts take no longer."""

Twins = tuple[tuple[int, ...], ...]
"""Gaps to be breathed alike, in order of playing; at least two each."""


def breathe_alike(
    places: Places,
    allowed: Allowed,
    plain: Walk,
    asked: AbstractSet[int],
    twins: Twins,
) -> Walk:
    """Give a plan in which like passages are breathed alike, where it pays.

    Tried is to have everything alike at once, then each stretch that is unlike still;
    and the same from the cheapest plan that holds on to most of what was found.

    Parameters
    ----------
    asked : set of int
        Gaps where the page or the player asks for a breath.
    twins : tuple of tuple of int
        What is to be breathed alike, as found by `find_twins`.

    Returns
    -------
    Walk
        The plan that is cheapest with the price of each place that is not breathed
        alike; the plain one, should that be it.
    """
    if not _unlike(twins, plain):
        return plain
    most = max(MOST_NOTES_AGAIN, len(places.notes))
    search = _Alike(places, allowed, asked, twins)
    best, left = search.from_plan(plain, most)
    if best is plain or left <= 0:
        return best
    held = hold_on(places, allowed, frozenset(k for k, _ in best.breaths))
    other, _ = search.from_plan(held, left)
    is_better = _price(places, twins, other) < _price(places, twins, best)
    return other if is_better else best


@dataclass(frozen=True, slots=True)
class _Alike:
    """Tries plans in which like passages are breathed alike."""

    places: Places
    allowed: Allowed
    asked: AbstractSet[int]
    twins: Twins

    def from_plan(self, plan: Walk, notes_left: int) -> tuple[Walk, int]:
        """Have one stretch after the other alike; tell how many notes may be tried."""
        best, allowed = plan, self.allowed
        for stretch in (self.twins, *_stretches(self.twins)):
            if notes_left > 0 and _unlike(stretch, best):
                patterns = _patterns(stretch, frozenset(k for k, _ in best.breaths))
                notes_left -= len(patterns) * len(self.places.notes)
                best, allowed = self._best(best, allowed, stretch, patterns)
        return best, notes_left

    def _best(
        self,
        best: Walk,
        allowed: Allowed,
        stretch: Twins,
        patterns: AbstractSet[frozenset[int]],
    ) -> tuple[Walk, Allowed]:
        """Try to have one stretch alike; give the best plan, and what keeps it so."""
        others = frozenset(range(len(self.places.gaps))) - every_gap(stretch)
        least, chosen = _price(self.places, self.twins, best), allowed
        for alike in sorted(patterns, key=sorted):
            only = allowed.only_at(others | alike | self.asked).forced_at(alike)
            found = find_breaths(self.places, only)
            price = _price(self.places, self.twins, found)
            if price < least and self._is_sound(found, best):
                best, least, chosen = found, price, only
        return best, chosen

    def _is_sound(self, found: Walk, best: Walk) -> bool:
        """Tell whether no breath is for nothing, and the air that is needed is taken.

        Where notes are left out for it, to breathe nowhere is no way to be alike.
        """
        is_needed = any(way.left_out for _, way in best.breaths)
        if is_needed and not found.breaths:
            return False
        return _is_sound(self.places, found, self.asked)


def _price(places: Places, twins: Twins, plan: Walk) -> float:
    """Weigh a plan against one that is more alike.

    What is one place on the page weighs more than what is written out again: a pencil
    mark there holds for every pass.  A breath more has the price of a change, so that
    of two plans that cost about the same not now the one and now the other is taken.
    """
    costs, notes = places.breather.costs, places.passage.part.notes
    unlike = sum(
        costs.pass_weight if _is_one_place(notes, gaps) else costs.alike_weight
        for gaps in _unlike(twins, plan)
    )
    goal = places.passage.goal_breaths or frozenset()
    kept = costs.goal_breath_weight * sum(k in goal for k, _ in plan.breaths)
    return plan.cost + unlike + costs.change_weight * len(plan.breaths) - kept


def _is_one_place(notes: Sequence[Note], gaps: Sequence[int]) -> bool:
    """Tell whether twins are one place on the page, played again."""
    first, second = (notes[gap] for gap in gaps[:2])
    return (first.bar, first.beat) == (second.bar, second.beat)


def _unlike(twins: Twins, plan: Walk) -> list[tuple[int, ...]]:
    """List the places that are breathed at in one pass and not in another."""
    breathed = frozenset(k for k, _ in plan.breaths)
    return [gaps for gaps in twins if len(breathed.intersection(gaps)) % len(gaps)]


def _stretches(twins: Twins) -> list[Twins]:
    """Divide twins into stretches that come again as far away; one alone is none."""
    away = [tuple(gap - gaps[0] for gap in gaps) for gaps in twins]
    cuts = [k for k in range(1, len(away)) if away[k] != away[k - 1]]
    if not cuts:
        return []
    return [twins[a:b] for a, b in pairwise([0, *cuts, len(twins)])]


@remembered
def find_twins(part: Part, gaps: tuple[Gap, ...]) -> Twins:
    """Find the gaps that are one on the page, or in a long stretch that comes again."""
    has_repeats = len({bar.number for bar in part.bars}) < len(part.bars)
    first = {k: k for k in range(len(gaps))}
    pairs = [*_of_repeats(part)] if has_repeats else []
    for one, other in (*pairs, *_of_likes(part, gaps)):
        first[other] = first[one]
    found = defaultdict(list)
    for gap, twin in first.items():
        found[twin].append(gap)
    most = len(first) if has_repeats else MOST_PASSES
    return tuple(tuple(gaps) for gaps in found.values() if 1 < len(gaps) <= most)


def _of_repeats(part: Part) -> Iterator[tuple[int, int]]:
    """Pair the gaps of later passes with those of the first."""
    found: dict[tuple[object, ...], int] = {}
    for k, (before, after) in enumerate(pairwise(part.notes)):
        key = tuple((n.bar, n.beat, n.is_grace, n.sounding) for n in (before, after))
        if key in found:
            yield found[key], k
        else:
            found[key] = k


def _of_likes(part: Part, gaps: tuple[Gap, ...]) -> Iterator[tuple[int, int]]:
    """Pair the gaps of a stretch that comes again with those where it came first."""
    notes, count = part.notes, len(gaps)
    bare = number_alike(
        (
            note.loud_start,
            note.breath_mark,
            gap.timing.length_s,
            gap.timing.rest_s,
        )
        for note, gap in zip(notes[:count], gaps, strict=True)
    )
    heights = [note.written.staff_step for note in notes]
    steps = [None, *(after - before for before, after in pairwise(heights))]
    shapes = number_alike(zip(steps, bare, strict=False))
    least_beats = LEAST_ALIKE_BARS * part.bars[0].metre.length
    known: dict[tuple[int, ...], int] = {}
    k = 0
    while k + LEAST_ALIKE <= count:
        start = known.setdefault(shapes[k : k + LEAST_ALIKE], k)
        size = 0
        if start + LEAST_ALIKE <= k:
            size = LEAST_ALIKE
            most = min(k - start, count - k)
            while size < most and shapes[start + size] == shapes[k + size]:
                size += 1
            # The step that leads into a stretch is none of its own.
            before = int(start > 0 and bare[start - 1] == bare[k - 1])
            if notes[k + size - 1].end - notes[k - before].onset >= least_beats:
                yield from ((start + i, k + i) for i in range(-before, size))
        k += max(1, size)


def every_gap(twins: Twins) -> frozenset[int]:
    """Give every gap that has a twin."""
    return frozenset(gap for gaps in twins for gap in gaps)


def _patterns(twins: Twins, breathed: frozenset[int]) -> AbstractSet[frozenset[int]]:
    """Give what each pass breathes, and what any does, in all passes."""
    by_pass = {
        frozenset(
            gap
            for gaps in twins
            if number < len(gaps) and gaps[number] in breathed
            for gap in gaps
        )
        for number in range(max(len(gaps) for gaps in twins))
    }
    any_of_them = frozenset(
        gap for gaps in twins if breathed.intersection(gaps) for gap in gaps
    )
    return by_pass | {any_of_them}


def _is_sound(places: Places, found: Walk, asked: AbstractSet[int]) -> bool:
    """Tell whether nobody is dry, and no breath is for nothing or on another's heels.

    Breaths that are asked for may be.
    """
    empty = places.breather.air.empty_share
    is_worth = all(
        places.lungs.half - found.air_after[k] >= way.worth_depth - ROUNDING
        for k, way in found.breaths
        if k not in asked
    )
    is_apart = all(
        after in asked or before < places.ripe_from[after]
        for (before, _), (after, _) in pairwise(found.breaths)
    )
    return is_worth and is_apart and min(found.air_after) >= empty


def hold_on(places: Places, allowed: Allowed, before: AbstractSet[int]) -> Walk:
    """Give the plan that changes places only where that is clearly better.

    Parameters
    ----------
    before : set of int
        Gaps that were breathed in so far.

    Returns
    -------
    Walk
        The cheapest plan once every gap breathed in anew or no more has its price;
        its own cost is without that.
    """
    price = places.breather.costs.change_weight
    # To leave a place out at a price is the same as to be paid for breathing there.
    prices = tuple(
        allowed.price(k) + (-price if k in before else price)
        for k in range(len(places.gaps))
    )
    return find_breaths(places, replace(allowed, prices=prices))
