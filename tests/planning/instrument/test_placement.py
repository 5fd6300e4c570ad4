"""Placements, and how players write them."""

from __future__ import annotations

import pytest

from coach.planning.instrument.placement import (
    Articulation,
    Placement,
    find_place,
    plain_label,
)

RAISED = Placement("#4", 24.9, 7, number=4)
FIRST = Placement("1", 0.2, 6, number=1)
PLAIN = Placement("4", 28.0, 8, number=4)


def test_only_the_tongue_makes_a_stroke() -> None:
    strokes = {begun for begun in Articulation if begun.is_stroke}
    assert strokes == {Articulation.TONGUED, Articulation.LEGATO_TONGUED}


@pytest.mark.parametrize(
    ("written", "plain"),
    [
        ("4", "4"),
        ("♭4", "4"),
        ("#T2", "T2"),
        ("(5)", "5"),
        ("1-2", "12"),
        ("1, 3", "13"),
    ],
)
def test_a_printed_position_is_read_without_its_signs(written: str, plain: str) -> None:
    assert plain_label(written) == plain


def test_a_place_is_found_by_its_very_label_first() -> None:
    assert find_place((FIRST, RAISED, PLAIN), "4") is PLAIN


def test_a_place_is_found_by_its_position_whatever_the_sign() -> None:
    assert find_place((FIRST, RAISED), "b4") is RAISED


def test_a_place_that_the_pitch_has_not_is_not_found() -> None:
    assert find_place((FIRST, RAISED), "6") is None
