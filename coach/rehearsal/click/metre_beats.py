"""How a bar is felt: its beats, their groups, and what divides them.

Conventions
-----------
Places are in quarter notes (`Beats`) from the start of a full bar of the metre.

Common practice, no published source: compound metres are felt in dotted beats;
irregular metres of short units are felt in twos with a three last, unless the page
or the player groups them otherwise; a counted beat shorter or longer than the
written unit (an eighth in a slow 2/4, a half note in cut time) is the beat felt.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate

from coach.score.metre import Metre
from coach.score.metre_groups import (
    SHORT_UNIT,
    THREE,
    TWO,
    is_irregular,
    usual_groups,
)
from coach.score.phrase import Bar
from coach.score.tempo import Beats, beats


@dataclass(frozen=True, slots=True)
class FeltBeat:
    """One beat as it is felt."""

    at: Beats
    """Where it is in a full bar, in quarter notes from the bar's start."""

    length: Beats
    """How long it lasts, in quarter notes."""

    units: int
    """How many written units it holds; 1 also for a beat shorter than a unit."""

    starts_group: bool
    """It begins a group inside the bar, and is leaned on."""


def feel_bar(
    metre: Metre, counted: Beats, groups: Sequence[int] = ()
) -> tuple[FeltBeat, ...]:
    """Tell how a full bar is felt.

    Parameters
    ----------
    counted : Beats
        The beat of the tempo mark, in quarter notes.
    groups : sequence of int
        The player's grouping, in written units; used where it fills the bar, before
        the page's own.

    Returns
    -------
    tuple of FeltBeat
        In order; the first is the bar's own accent.

    Examples
    --------
    >>> [str(beat.at) for beat in feel_bar(Metre(7, 8), beats(1))]
    ['0', '1', '2']
    """
    for chosen in (tuple(groups), metre.groups):
        if sum(chosen) == metre.count:
            return _group(metre, chosen, counted)
    if is_irregular(metre):
        return _group(metre, usual_groups(metre.count), counted)
    ratio = Fraction(counted) / metre.unit_beats
    if metre.is_compound:
        threes = (THREE,) * (metre.count // THREE)
        return _lean(metre, threes, ratio) if ratio <= 1 else _join(metre, threes)
    if ratio in (TWO, THREE) and metre.count % ratio == 0:
        return _join(metre, (int(ratio),) * int(metre.count / ratio))
    return _lean(metre, (metre.count,), ratio)


def divide_beat(beat: FeltBeat, subdivision: int) -> tuple[Beats, ...]:
    """Give the places between this beat and the next that divide it.

    Parameters
    ----------
    subdivision : int
        Into how many parts a plain beat is divided; 1 for none.  A beat of several
        written units is divided by these: a dotted beat into three, where a plain
        one is divided into two.
    """
    parts = subdivision
    if subdivision > 1 and subdivision % beat.units:
        parts = beat.units * max(1, subdivision // TWO)
    return tuple(Beats(beat.at + beat.length * k / parts) for k in range(1, parts))


def bar_starts_at(bars: Sequence[Bar]) -> tuple[Beats, ...]:
    """Tell, for each bar, how much of its metre had gone by when it begins.

    A pickup is the end of a bar; so is a short bar that completes the short one
    before it, as around a repeat sign in mid-bar.  All others begin at 0.
    """
    starts: list[Beats] = []
    for k, bar in enumerate(bars):
        missing = Beats(bar.metre.length - bar.written_length)
        if missing <= 0:
            starts.append(beats(0))
        elif k == 0 or bar.number == 0:
            starts.append(missing)
        else:
            before = Beats(starts[-1] + bars[k - 1].written_length)
            completes = before == missing and bar.metre == bars[k - 1].metre
            starts.append(missing if completes else beats(0))
    return tuple(starts)


def _group(
    metre: Metre, groups: tuple[int, ...], counted: Beats
) -> tuple[FeltBeat, ...]:
    """Feel groups as beats when units are short or groups are what is counted."""
    is_counted = {Beats(metre.unit_beats * size) for size in groups} == {counted}
    if metre.unit >= SHORT_UNIT or is_counted:
        return _join(metre, groups)
    return _lean(metre, groups, Fraction(counted) / metre.unit_beats)


def _join(metre: Metre, groups: tuple[int, ...]) -> tuple[FeltBeat, ...]:
    """Make each group of units one beat."""
    unit = metre.unit_beats
    starts = tuple(accumulate(groups, initial=0))[:-1]
    return tuple(
        FeltBeat(Beats(unit * start), Beats(unit * size), size, starts_group=False)
        for start, size in zip(starts, groups, strict=True)
    )


def _lean(
    metre: Metre, groups: tuple[int, ...], ratio: Fraction
) -> tuple[FeltBeat, ...]:
    """Make each unit a beat (or several, if the counted beat divides it)."""
    parts = ratio.denominator if ratio.numerator == 1 else 1
    length = Beats(metre.unit_beats / parts)
    leaned = {start * parts for start in accumulate(groups)}
    return tuple(
        FeltBeat(Beats(length * k), length, 1, starts_group=k in leaned)
        for k in range(metre.count * parts)
    )
