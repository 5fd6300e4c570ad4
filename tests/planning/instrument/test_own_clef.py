"""The clef of a page that has none."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.instrument.own_clef import (
    has_guessed_clef,
    say_guessed_clef,
    suit_clef,
)
from coach.score.phrase import Part
from tests.hand_made import part_of


def guessed(words: str, clef: str = "treble") -> Part:
    """Make a part whose clef was guessed."""
    part = part_of(words)
    return replace(
        part,
        bars=tuple(replace(bar, clef=clef) for bar in part.bars),
        remarks=("No title.", say_guessed_clef(clef)),
    )


@pytest.mark.parametrize(
    ("words", "own", "clef"),
    [
        ("Bb3q C4q D4q Eb4q F4w", "bass", "bass"),
        ("F3q A3q C4q F4q", "bass", "bass"),
        ("A4q E5q A5q E5q", "bass", "treble"),
        ("C2q D2q C2q D2q", "treble", "treble"),
        ("F3q A3q C4q F4q", "tenor", "tenor"),
    ],
)
def test_a_guessed_clef_is_the_instruments_where_that_is_readable(
    words: str, own: str, clef: str
) -> None:
    part = suit_clef(guessed(words), own)
    assert {bar.clef for bar in part.bars} == {clef}
    assert part.remarks == (
        "No title.",
        f"The file has no clef: the {clef} clef is a guess.",
    )
    assert has_guessed_clef(part)


def test_a_clef_of_the_page_stays() -> None:
    part = replace(guessed("F3q A3q"), remarks=())
    assert suit_clef(part, "bass") is part
    assert not has_guessed_clef(part)
