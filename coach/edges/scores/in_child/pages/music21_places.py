"""Where music21 has the signs of a part: in its bars, between them, in other parts."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import chain

from music21 import base, dynamics, expressions, repeat, stream, tempo

from coach.edges.scores.in_child.pages.music21_notes import exact
from coach.score.tempo import Beats

SIGN_KINDS = (
    dynamics.Dynamic,
    expressions.RehearsalMark,
    expressions.TextExpression,
    repeat.RepeatExpression,
    tempo.TempoIndication,
)


@dataclass(frozen=True, slots=True)
class PlacedSign:
    """A sign and where it stands."""

    bar: int
    """The bar that it is written in, counted from 0."""

    at: Beats
    """Its place on the page."""

    element: base.Music21Object


def signs_of(part: stream.Part, starts: Sequence[Beats]) -> Iterator[PlacedSign]:
    """Give the signs of a part's bars, and those that stand between bars."""
    for k, measure in enumerate(part.getElementsByClass(stream.Measure)):
        if k == len(starts):
            return
        for site in (measure, *measure.voices):
            start = starts[k] if site is measure else starts[k] + exact(site.offset)
            for element in site.elements:
                if isinstance(element, SIGN_KINDS):
                    yield PlacedSign(k, Beats(start + exact(element.offset)), element)
    yield from _loose_signs(part, starts)


def _loose_signs(
    site: stream.Score | stream.Part, starts: Sequence[Beats]
) -> Iterator[PlacedSign]:
    """Give the signs that lie in a part or score itself, outside of its bars."""
    for element in site.elements:
        if isinstance(element, SIGN_KINDS):
            at = exact(element.offset)
            yield PlacedSign(max(0, bisect_right(starts, at) - 1), at, element)


def shared_signs(
    score: stream.Score, part: stream.Part, starts: Sequence[Beats]
) -> Iterator[PlacedSign]:
    """Give the signs of other parts that hold for all: no dynamics."""
    others = [signs_of(other, starts) for other in score.parts if other is not part]
    for sign in chain(_loose_signs(score, starts), *others):
        if not isinstance(sign.element, dynamics.Dynamic):
            yield sign
