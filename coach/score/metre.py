"""Time signatures, and how a bar without one is counted.

Conventions
-----------
Lengths are in quarter notes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction

from coach.score.tempo import Beats

COMPOUND_UNIT = 4
"""Metres over quarters or shorter notes may have dotted beats; 6/2 has halves."""

UNITS_IN_DOTTED_BEAT = 3

QUARTER = 4
"""The lower figure of a time signature in quarters."""

UNITS = (QUARTER, 8, 16, 32, 64)
"""Units that a bar without a time signature is counted in, largest first."""

MOST_SHORT_UNITS = 15
"""A free bar of more units shorter than a quarter is counted in quarters: nobody finds
the 107th sixteenth of a cadenza; our own choice."""


@dataclass(frozen=True, slots=True)
class Metre:
    """A time signature."""

    count: int
    """Upper figure."""

    unit: int
    """Lower figure: 4 is a quarter, 8 an eighth."""

    groups: tuple[int, ...] = ()
    """Written grouping in units, as (2, 2, 3) in 7/8; empty for the usual one."""

    is_free: bool = False
    """No time signature is written: the bar is counted as long as it is."""

    @property
    def unit_beats(self) -> Beats:
        """Length of the written unit, in quarter notes."""
        return Beats(Fraction(4, self.unit))

    @property
    def length(self) -> Beats:
        """Length of a full bar, in quarter notes."""
        return Beats(self.unit_beats * self.count)

    @property
    def is_compound(self) -> bool:
        """Whether its beats are dotted: 6/8, 9/8, 12/8, 6/4 … but not 3/8, nor free."""
        return (
            not self.is_free
            and self.unit >= COMPOUND_UNIT
            and self.count > UNITS_IN_DOTTED_BEAT
            and self.count % UNITS_IN_DOTTED_BEAT == 0
            and set(self.groups) <= {UNITS_IN_DOTTED_BEAT}
        )

    @property
    def beat(self) -> Beats:
        """Length of the beat that is counted: dotted in compound metre."""
        units = UNITS_IN_DOTTED_BEAT if self.is_compound else 1
        return Beats(self.unit_beats * units)

    @property
    def figures(self) -> str:
        """Count it as ``6/8``, where it is free too."""
        return f"{self.count}/{self.unit}"

    def __str__(self) -> str:
        """Write it as ``6/8``, or as free."""
        return "free" if self.is_free else self.figures


COMMON_TIME = Metre(4, 4)


def metre_of_length(length: Beats) -> Metre:
    """Count a bar that has no time signature; a long one in quarters, and what is left.

    Examples
    --------
    >>> lengths = Beats(Fraction(5, 2)), Beats(Fraction(107, 4))
    >>> [metre_of_length(length).figures for length in lengths]
    ['5/8', '26/4']
    """
    for unit in UNITS:
        units = length * unit / 4
        if units.denominator == 1 and units > 0:
            if unit > QUARTER and units > MOST_SHORT_UNITS:
                return Metre(int(length), QUARTER, is_free=True)
            return Metre(int(units), unit, is_free=True)
    return replace(COMMON_TIME, is_free=True)
