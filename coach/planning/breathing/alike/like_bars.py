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

from collections.abc import Hashable, Sequence
from collections.abc import Set as AbstractSet
from functools import partial
from itertools import pairwise

from coach.last_answers import remembered
from coach.planning.breathing.alike.alike_breaths import Twins
from coach.planning.breathing.alike.likening import Label, Likened
from coach.planning.breathing.breath_costs import LIKELY
from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.search.breath_walk import Walk, walk
from coach.planning.breathing.ways.breath_draws import SAME_TIME_DIGITS
from coach.planning.breathing.ways.breath_ways import ROUNDING, Way
from coach.planning.breathing.ways.choose_ways import Allowed
from coach.score.phrase import Part


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
    breaths, price = plain.breaths, places.breather.costs.alike_weight
    bars = [
        None if k in apart else number
        for k, number in enumerate(_rhythms(places.passage.part))
    ]
    breathed = partial(_beat_breathed, bars)
    for likeness in (_figure_left_out, _beats_left_out, breathed):
        breaths = Likened(places, allowed, likeness, price).liken(breaths)
    return plain if breaths == plain.breaths else walk(places, breaths)


def breathe_as_long(places: Places, allowed: Allowed, plan: Walk, twins: Twins) -> Walk:
    """Give a plan whose breaths at one place, or in like phrases, are alike in length.

    Parameters
    ----------
    twins : tuple of tuple of int
        Gaps of like places.
    """
    number_of = {gap: number for number, gaps in enumerate(twins) for gap in gaps}
    price = places.breather.costs.as_long_weight

    def time_taken(_: Places, k: int, way: Way) -> Label | None:
        """Tell of a breath at a place that has a twin how long it is, and how drawn."""
        if k not in number_of:
            return None
        return number_of[k], (round(way.gap_s, SAME_TIME_DIGITS), way.is_gasp)

    likened = Likened(places, allowed, time_taken, price, stays=True)
    breaths = likened.liken(plan.breaths)
    return plan if breaths == plan.breaths else walk(places, breaths)


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
