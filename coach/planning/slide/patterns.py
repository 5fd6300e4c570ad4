"""The patterns of a plan: in which manner each stretch is begun, and its exceptions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from enum import StrEnum

from coach.planning.slide.manners import Manner
from coach.planning.slide.moment import Moment, NoteWay


class Pattern(StrEnum):
    """What a passage does."""

    AS_WRITTEN = "as-written"
    TONGUED = "tongued"
    IN_TWOS = "in-twos"
    IN_THREES = "in-threes"
    SLURRED = "slurred"


@dataclass(frozen=True, slots=True)
class PatternStretch:
    """Notes one after the other that are begun in one manner."""

    first: int
    """Index of the first note."""

    last: int
    """Index of the last note."""

    pattern: Pattern
    """What it does."""

    exceptions: tuple[int, ...] = ()
    """Notes that are struck where the pattern has a slur, most of them softly."""

    tongued: tuple[int, ...] = ()
    """Those of them that the arm goes too far for: a soft tongue would let it smear."""

    slurred: tuple[int, ...] = ()
    """Notes that are slurred in it."""

    @property
    def soft(self) -> tuple[int, ...]:
        """Give the notes that a soft tongue takes in place of a slur."""
        return tuple(k for k in self.exceptions if k not in self.tongued)


def find_patterns(
    moments: Sequence[Moment],
    ways: Sequence[NoteWay],
    manners: Sequence[int],
    far: AbstractSet[int] = frozenset(),
) -> tuple[PatternStretch, ...]:
    """Cut a plan into stretches of one pattern.

    Parameters
    ----------
    ways : sequence of NoteWay, length n
        How each is played.
    manners : sequence of int, length n
        In which manner each is begun, from the walk.
    far : set of int
        Notes that the arm goes too far for to reach them softly.

    Returns
    -------
    tuple of PatternStretch
        In order; each note belongs to one.
    """
    stretches = []
    for run in _runs(moments, manners):
        struck = tuple(
            k for k in run if moments[k].is_exception(ways[k], Manner(manners[k]))
        )
        pattern = _pattern(moments, run, manners)
        tongued = tuple(k for k in struck if k in far)
        slurred = tuple(k for k in run if not ways[k].is_stroke)
        stretches.append(
            PatternStretch(run[0], run[-1], pattern, struck, tongued, slurred)
        )
    return tuple(stretches)


def _runs(moments: Sequence[Moment], manners: Sequence[int]) -> Iterator[range]:
    """Cut where the page takes over or lets go, or another manner sets in."""
    free = [_is_free(moments, k) for k in range(len(moments))]
    start = 0
    for k in range(1, len(moments) + 1):
        if k == len(moments) or (free[k], manners[k]) != (free[start], manners[start]):
            yield range(start, k)
            start = k


def _is_free(moments: Sequence[Moment], k: int) -> bool:
    """Tell whether a note has a manner: one that stands alone is tongued in any."""
    follows = moments[k + 1] if k + 1 < len(moments) else None
    goes_on = follows is not None and follows.is_free and not follows.is_break
    return moments[k].is_free and (goes_on or not moments[k].is_break)


def _pattern(
    moments: Sequence[Moment], run: Sequence[int], manners: Sequence[int]
) -> Pattern:
    """Name what a run does: in sets, where half of its pairs have a note to slur.

    Sets of three count as one each, as those of two do: a long note and a short one
    among threes are a set of their own.
    """
    if not _is_free(moments, run[0]):
        return Pattern.AS_WRITTEN
    manner = manners[run[0]]
    if manner == Manner.IN_SETS:
        weak = [k for k in run if not (moments[k].is_strong or moments[k].is_break)]
        pairs = len(run) / 2
        if len(weak) < pairs / 2:
            return Pattern.TONGUED
        threes = sum(k > 0 and not moments[k - 1].is_strong for k in weak)
        twos = len(weak) - 2 * threes
        return Pattern.IN_THREES if threes >= max(1, twos) else Pattern.IN_TWOS
    return Pattern.SLURRED if manner == Manner.SLURRED else Pattern.TONGUED
