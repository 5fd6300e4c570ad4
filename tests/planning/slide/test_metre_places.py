"""Strong places, beats and bars; common practice, no published source."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.slide.metre_places import find_metre_places
from coach.score.metre import Metre
from coach.score.phrase import Part
from coach.score.tempo import Beats
from tests.hand_made import part_of


def strong(part: Part) -> str:
    return "".join("X" if s else "." for s in find_metre_places(part).strong)


@pytest.mark.parametrize(
    ("words", "metre", "expected"),
    [
        ("F3s F3s F3s F3s F3s F3s F3s F3s F3h", Metre(4, 4), "X.X.X.X.X"),
        ("F3e F3e F3e F3e F3h", Metre(4, 4), "X.X.X"),
        ("F3q F3q F3q F3q", Metre(4, 4), "X.X."),
        ("F3q F3q F3q F3h.", Metre(3, 4), "X..X"),
        ("F3e F3e F3e F3e F3e F3e", Metre(6, 8), "X..X.."),
        ("F3s F3s F3s F3s F3s F3s F3s F3s F3s F3s F3s F3s", Metre(6, 8), "X.X.X." * 2),
        ("F3e. F3s F3e. F3s F3h", Metre(4, 4), "X.X.X"),
        ("F3q F3q F3q F3s F3s F3e F3h", Metre(4, 4), "X.XX.XX"),
        ("F3e F3s F3s F3e F3s F3s F3h", Metre(4, 4), "XX.XX.X"),
        ("F3e F3e F3e F3e F3e F3e F3e", Metre(7, 8, (2, 2, 3)), "X.X.X.."),
    ],
)
def test_the_first_of_two_and_of_three_is_strong(
    words: str, metre: Metre, expected: str
) -> None:
    assert strong(part_of(words, metre=metre)) == expected


def test_triplets_are_strong_on_the_beat() -> None:
    part = part_of("F3q F3q F3q F3q")
    third = part.notes[0].length / 3
    notes = [
        replace(note, length=Beats(third), onset=Beats(third * k), beat=1 + third * k)
        for k, note in enumerate(part.notes[:3])
    ]
    assert strong(replace(part, notes=tuple(notes))) == "X.."


def test_quick_beats_are_cells_and_slow_ones_are_heard_together() -> None:
    part = part_of("F3s F3s F3s F3s F3e F3e F3e F3e F3q F3q F3h")
    assert find_metre_places(part).cells == (0, 4, 8, 9)


def test_a_bar_always_begins_a_cell() -> None:
    part = part_of("F3w F3w F3w")
    assert find_metre_places(part).cells == (0, 1, 2)
