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

from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from functools import partial
from itertools import pairwise
from typing import NamedTuple

from coach.last_answers import remembered
from coach.planning.breathing.alike.alike_breaths import Twins
from coach.planning.breathing.alike.likening import Label, Likened
from coach.planning.breathing.alike.numbering import number_alike
from coach.planning.breathing.breath_costs import LIKELY
from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.search.breath_walk import Walk, walk
from coach.planning.breathing.ways.breath_draws import SAME_TIME_DIGITS
from coach.planning.breathing.ways.breath_ways import ROUNDING, Way
from coach.planning.breathing.ways.choose_ways import Allowed
from coach.score.note import Note, keys_of
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
    part = places.passage.part
    figures = _figures(part.notes)
    for likeness in (
        partial(_figure_left_out, figures),
        partial(_beats_left_out, figures),
        partial(_beat_breathed, _beats_of_bars(part), apart),
    ):
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


class _Figures(NamedTuple):
    """The notes of a part in numbers: those that are alike in something share one."""

    lengths: tuple[int, ...]
    """Of each note, for its length."""

    beats: tuple[int, ...]
    """Of each note, for its place in the bar."""

    into_beat: tuple[int, ...]
    """Of each note, for its place in the beat."""

    steps: tuple[int, ...]
    """Semitones from each note to the next."""


@remembered
def _figures(notes: tuple[Note, ...]) -> _Figures:
    """Give the notes of a part their numbers."""
    places = [note.beat.as_integer_ratio() for note in notes]
    return _Figures(
        lengths=number_alike(note.length.as_integer_ratio() for note in notes),
        beats=number_alike(places),
        into_beat=number_alike((count % unit, unit) for count, unit in places),
        steps=tuple(after - before for before, after in pairwise(keys_of(notes))),
    )


def _figure_left_out(figures: _Figures, _: Places, k: int, way: Way) -> Label | None:
    """Tell of which figure which notes are left out, in whatever key."""
    if not way.left_out:
        return None
    end = k + way.left_out + 1
    figure = figures.into_beat[k], figures.lengths[k:end], figures.steps[k:end]
    return (), figure


def _beats_left_out(figures: _Figures, _: Places, k: int, way: Way) -> Label | None:
    """Tell at which beat notes of which length are left out, whatever they are."""
    if not way.left_out:
        return None
    return (), (figures.beats[k], figures.lengths[k : k + way.left_out + 1])


def _beat_breathed(
    beats: Sequence[Label], apart: AbstractSet[int], places: Places, k: int, way: Way
) -> Label | None:
    """Tell in a bar of which rhythm a breath is taken, and after which beat."""
    gap = places.gaps[k]
    if k in apart or way.left_out or gap.rest_s > ROUNDING or gap.phrase_end >= LIKELY:
        return None
    return beats[k]


@remembered
def _beats_of_bars(part: Part) -> tuple[Label, ...]:
    """Give each note the numbers of the rhythm of its bar, and of its place there."""
    bars: list[list[int]] = []
    for k, note in enumerate(part.notes):
        before = part.notes[k - 1]
        if k == 0 or note.bar != before.bar or note.beat < before.beat:
            bars.append([])
        bars[-1].append(k)
    lengths, beats, *_ = _figures(part.notes)
    rhythms = number_alike(tuple((beats[k], lengths[k]) for k in bar) for bar in bars)
    return tuple(
        (rhythm, beats[k])
        for rhythm, bar in zip(rhythms, bars, strict=True)
        for k in bar
    )
