"""How an irregular bar is grouped: 7/8 is 2+2+3, or 3+2+2 where the beams show that.

Common practice, no published source: irregular metres of short units are felt in twos
with a three last, unless the page groups them otherwise.  Where the time signature
does not tell, beams do.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from itertools import accumulate, groupby, pairwise

from coach.score.metre import Metre
from coach.score.page import PageBar, PageNote

TWO, THREE = 2, 3
SHORT_UNIT = 8
"""Metres of eighths and shorter are felt in groups; longer units are beats."""

FEWEST_GROUPED = 5
"""Up to four units in a bar, each is a beat."""

MOST_GROUPED = 15
"""Above so many units nobody groups a bar by its beams; our own choice."""

QUARTER = Fraction(1)
"""A note of a quarter or more has no beam."""


def is_irregular(metre: Metre) -> bool:
    """Whether a bar of short units goes neither in twos nor in threes."""
    return _is_grouped(metre) and metre.count % TWO != 0


def usual_groups(count: int) -> tuple[int, ...]:
    """Group units as usual: twos, and a three last where they are an odd number."""
    odd = count % TWO
    return (TWO,) * ((count - odd * THREE) // TWO) + (THREE,) * odd


@dataclass(frozen=True, slots=True)
class Grouped:
    """Bars whose irregular metres all have groups."""

    bars: tuple[PageBar, ...]
    """As on the page but for that."""

    said: tuple[str, ...]
    """How bars are counted that need not be counted so, each way once."""


def group_metres(bars: Sequence[PageBar]) -> Grouped:
    """Put groups into each irregular time signature that tells none.

    Bars of one signature after another are one stretch, with one grouping: that which
    the fewest beams cross, then that of which most groups are under a beam; without
    beams the usual one.
    """
    grouped: list[PageBar] = []
    said: dict[str, None] = {}
    for metre, stretch in groupby(bars, key=lambda bar: bar.metre):
        inside = list(stretch)
        groups, why = _choose(metre, inside)
        if why:
            said[f"{metre.figures} is counted {'+'.join(map(str, groups))}, {why}."] = (
                None
            )
        if groups:
            inside = [replace(b, metre=replace(metre, groups=groups)) for b in inside]
        grouped += inside
    return Grouped(tuple(grouped), tuple(said))


def _choose(metre: Metre, bars: Sequence[PageBar]) -> tuple[tuple[int, ...], str]:
    """Choose the groups of a stretch, none to leave it as it is, and say why so."""
    if metre.groups or not _is_grouped(metre):
        return (), ""
    usual = usual_groups(metre.count)
    shown = _shown(metre, bars) if metre.count <= MOST_GROUPED else None
    if shown is not None and shown != usual:
        return shown, "as its beams show"
    if not is_irregular(metre):
        return (), ""
    return usual, "" if shown else "a guess, since no beams show it"


def _is_grouped(metre: Metre) -> bool:
    """Whether its units may be joined in more ways than one."""
    is_short = metre.unit >= SHORT_UNIT and metre.count % THREE != 0
    return is_short and metre.count >= FEWEST_GROUPED


def _shown(metre: Metre, bars: Sequence[PageBar]) -> tuple[int, ...] | None:
    """Give the grouping that the beams show, before others the usual one; or none."""
    beams = [beam for bar in bars for beam in _beams(bar)]
    usual = usual_groups(metre.count)
    others = [groups for groups in _groupings(metre.count) if groups != usual]
    best = min((usual, *others), key=lambda groups: _against(beams, groups))
    return best if _against(beams, best)[1] else None


def _against(
    beams: Sequence[tuple[Fraction, Fraction]], groups: Sequence[int]
) -> tuple[int, int]:
    """Count the beams that cross a group; then, less than none, those over one."""
    edges = [Fraction(edge) for edge in accumulate(groups, initial=0)]
    spans = set(pairwise(edges))
    crossing = over_one = 0
    for begin, end in beams:
        is_crossed = any(begin < edge < end for edge in edges)
        crossing += is_crossed and not (begin in edges and end in edges)
        over_one += (begin, end) in spans
    return crossing, -over_one


def _beams(bar: PageBar) -> Iterator[tuple[Fraction, Fraction]]:
    """Give where each beam of a bar begins and where its last note ends, in units."""
    unit, before = bar.metre.unit_beats, bar.first_beat - 1
    notes = [note for note in bar.notes if not note.is_grace]
    first = 0
    for k, note in enumerate(notes):
        if k + 1 < len(notes) and _is_beamed(note, notes[k + 1]):
            continue
        if k > first:
            end = note.offset + note.length
            yield before + notes[first].offset / unit, before + end / unit
        first = k + 1


def _is_beamed(note: PageNote, following: PageNote) -> bool:
    """Whether a beam leads from a note to the next one."""
    are_short = max(note.length, following.length) < QUARTER
    is_next = note.offset + note.length == following.offset
    return note.is_beamed_on and are_short and is_next


@cache
def _groupings(count: int) -> tuple[tuple[int, ...], ...]:
    """Give every way to make so many units of twos and threes."""
    if count < TWO:
        return ((),) if count == 0 else ()
    return tuple(
        (size, *rest) for size in (TWO, THREE) for rest in _groupings(count - size)
    )
