"""Time signatures, written and counted."""

from __future__ import annotations

from fractions import Fraction

import pytest

from coach.score.metre import Metre, metre_of_length
from coach.score.tempo import beats


@pytest.mark.parametrize(
    ("metre", "is_compound", "beat", "length"),
    [
        (Metre(4, 4), False, "1", "4"),
        (Metre(2, 2), False, "2", "4"),
        (Metre(3, 8), False, "1/2", "3/2"),
        (Metre(6, 8), True, "3/2", "3"),
        (Metre(9, 8), True, "3/2", "9/2"),
        (Metre(12, 16), True, "3/4", "3"),
        (Metre(6, 4), True, "3", "6"),
        (Metre(6, 2), False, "2", "12"),
        (Metre(7, 8, (2, 2, 3)), False, "1/2", "7/2"),
        (Metre(9, 8, (2, 2, 2, 3)), False, "1/2", "9/2"),
        (Metre(6, 8, (3, 3)), True, "3/2", "3"),
    ],
)
def test_compound_metre_has_dotted_beats(
    metre: Metre, is_compound: bool, beat: str, length: str
) -> None:
    assert metre.is_compound is is_compound
    assert metre.beat == Fraction(beat)
    assert metre.length == Fraction(length)


def test_a_metre_is_written_as_on_the_page() -> None:
    assert str(Metre(6, 8)) == "6/8"


@pytest.mark.parametrize(
    ("length", "metre"),
    [
        ("3", "3/4"),
        ("5/2", "5/8"),
        ("15/4", "15/16"),
        ("107/4", "26/4"),
        ("1/3", "4/4"),
        ("0", "4/4"),
    ],
)
def test_a_bar_without_a_time_signature_counts_its_largest_unit_or_quarters(
    length: str, metre: str
) -> None:
    counted = metre_of_length(beats(length))
    assert (counted.figures, str(counted)) == (metre, "free")


@pytest.mark.parametrize("length", ["9/2", "24", "27"])
def test_a_bar_without_a_time_signature_has_no_dotted_beats(length: str) -> None:
    """Of 27 quarters each is a beat: nothing says that they go in threes."""
    counted = metre_of_length(beats(length))
    assert counted.beat == counted.unit_beats
