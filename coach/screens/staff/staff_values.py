"""Lengths as a page writes them: note values with dots, and notes that are tied."""

from __future__ import annotations

from fractions import Fraction

VALUES = {
    Fraction(8): "breve",
    Fraction(4): "1",
    Fraction(2): "2",
    Fraction(1): "4",
    Fraction(1, 2): "8",
    Fraction(1, 4): "16",
    Fraction(1, 8): "32",
    Fraction(1, 16): "64",
    Fraction(1, 32): "128",
}
"""Name of each plain note value by its length in quarter notes, longest first."""

SHORTEST = min(VALUES)
MOST_DOTS = 2
HALF = Fraction(1, 2)


def split_length(length: Fraction) -> tuple[tuple[str, int], ...]:
    """Write a length as note values and their dots: one, or several to be tied.

    What is shorter than any note value is left out, so a length off every grid is
    written as nearly as note values can; something is always written.

    Examples
    --------
    >>> split_length(Fraction(3, 2))
    (('4', 1),)
    >>> split_length(Fraction(5, 4))
    (('4', 0), ('16', 0))
    """
    values: list[tuple[str, int]] = []
    while length >= SHORTEST:
        written, name, dots = _longest_within(length)
        values.append((name, dots))
        length -= written
    return tuple(values) or ((VALUES[SHORTEST], 0),)


def last_value(length: Fraction) -> Fraction:
    """Give the last of the tied values that a length is written in, as a length.

    Examples
    --------
    >>> last_value(Fraction(5, 4))
    Fraction(1, 4)
    >>> last_value(Fraction(3, 2))
    Fraction(3, 2)
    """
    last = length
    while length >= SHORTEST:
        last = _longest_within(length)[0]
        length -= last
    return last


def _longest_within(length: Fraction) -> tuple[Fraction, str, int]:
    """Find the one value that is as long, else the longest plain one."""
    for plain, name in VALUES.items():
        for dots in range(MOST_DOTS + 1):
            if plain * (2 - HALF**dots) == length:
                return length, name, dots
    plain = next(value for value in VALUES if value <= length)
    return plain, VALUES[plain], 0


def is_on_grid(length: Fraction) -> bool:
    """Tell whether note values without tuplets can write a length."""
    return length.denominator & (length.denominator - 1) == 0
