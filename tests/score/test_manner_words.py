"""Words that ask for other lengths, or another octave, than is written."""

from __future__ import annotations

import pytest

from coach.score.manner_words import told_of_manner


@pytest.mark.parametrize(
    "words",
    ["swing", "Medium Swing", "swung eighths", "shuffle", "triplet feel", "inégales"],
)
def test_swing_is_told_as_planned_in_even_pairs(words: str) -> None:
    assert list(told_of_manner(words)) == [
        f"“{words}” is planned and clicked as written, with even pairs of notes."
    ]


@pytest.mark.parametrize("words", ["8va", "8vb", "15ma", "8va bassa", "ottava"])
def test_an_octave_in_words_is_told_as_not_followed(words: str) -> None:
    assert list(told_of_manner(words)) == [
        f"“{words}” is not followed, the notes are those that are written."
    ]


@pytest.mark.parametrize(
    "words",
    ["", "straight", "even eighths", "don't swing", "not swung", "loco", "dolce"],
)
def test_what_is_played_as_written_needs_no_word(words: str) -> None:
    assert list(told_of_manner(words)) == []
