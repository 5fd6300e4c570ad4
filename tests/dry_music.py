"""Music that asks for more air than there is: notes are left out, or nothing helps."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from coach.score.phrase import Part
from coach.score.tempo import Beats
from tests.hand_made import part_of

UNBROKEN = "Bb2s D3s F3s D3s Eb3s G3s Bb3s G3s F3s A3s C4s A3s Bb3s F3s D3s F3s " * 12
"""Twelve bars of sixteenths: no note gives time for a breath at 100."""


def unbroken(bars: int = 12) -> Part:
    """Give sixteenths without a longer note: a breath takes notes left out."""
    words = UNBROKEN.split()[: 16 * bars]
    return part_of(" ".join(words), bpm=100, title="Unbroken")


def endless() -> Part:
    """Give one note that nobody can hold: six bars, as loud as can be."""
    part = part_of("Bb3w " * 6, bpm=100, loud=4.0, title="Endless")
    note = replace(part.notes[0], length=Beats(Fraction(24)))
    return replace(part, notes=(note,))
