"""Words that lead through a page, or let it grow and fall."""

from __future__ import annotations

import pytest

from coach.score.route_words import growth_in, route_word_in


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("D.C. al Fine", "da capo"),
        ("Da Capo", "da capo"),
        ("D.S.", "dal segno"),
        ("To Coda", "to coda"),
        ("Fine.", "fine"),
        ("Coda", "coda"),
        ("Segno", "segno"),
        ("a fine day", ""),
        ("play it again, and D.C. means from the beginning of the piece", ""),
    ],
)
def test_words_lead_through_the_page(text: str, word: str) -> None:
    assert route_word_in(text) == word


@pytest.mark.parametrize(
    ("text", "growth"),
    [("cresc.", 1), ("poco dim.", -1), ("decresc.", -1), ("dolce", 0)],
)
def test_words_let_the_music_grow_and_fall(text: str, growth: int) -> None:
    assert growth_in(text) == growth
