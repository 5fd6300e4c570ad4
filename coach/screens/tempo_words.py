"""A tempo as it stands on a page: the beat that is counted, and how many a minute."""

from __future__ import annotations

from fractions import Fraction
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from coach.screens.signs import Signs


def say_tempo(bpm: float, beat: Fraction, signs: Signs) -> str:
    """Write a tempo: the sign of its beat, and a number without needless decimals."""
    number = f"{round(bpm, 1):g}"
    plain = {Fraction(1, 2): signs.eighth, Fraction(1): signs.quarter}
    dotted = {length * Fraction(3, 2): f"{sign}." for length, sign in plain.items()}
    sign = (plain | dotted).get(beat)
    if sign is not None:
        return f"{sign} {number}"
    words = {Fraction(2): "half", Fraction(3): "dotted half"}
    return f"{words.get(beat, f'{beat} quarters')} = {number}"
