"""What is found elsewhere in a tune where the same is heard."""

from __future__ import annotations

import pytest

from coach.planning.phrasing.melody import hear_melody
from coach.planning.phrasing.phrase_echoes import hear_echoes
from coach.planning.phrasing.phrase_likeness import Columns
from tests.hand_made import part_of

LINE = "C3q D3q E3q F3q G3h E3h "
HIGHER = "D3q E3q F#3q G3q A3h F#3h "
OTHER = "A3q. G3e F3e E3e D3q B3w "
LAST = 5
"""The last note of a line, as a gap."""


def heard_in(words: str, likely: dict[int, float], gaps: list[int]) -> Columns:
    """Hear some gaps of a tune, where some ends are likely and no others."""
    melody = hear_melody(part_of(words))
    chances = [likely.get(k, 0.0) for k in range(melody.gaps)]
    return hear_echoes(melody, chances, gaps, likely_share=0.5)


def test_a_close_that_ends_a_line_elsewhere_is_told_of_in_any_key() -> None:
    words = LINE + OTHER + HIGHER + OTHER
    heard = heard_in(words, {LAST: 0.8}, [LAST, 17])
    assert heard["echo_close"] == [0.0, 0.8], "each without what it is itself"
    assert heard["echo_around"] == [-1.0, -1.0], "the leap to the next line differs"


def test_a_close_on_another_degree_is_another() -> None:
    words = LINE + OTHER + HIGHER + OTHER + LINE + OTHER
    heard = heard_in(words, {LAST: 0.8}, [17, 29])
    assert heard["echo_degree"] == [-1.0, 0.8]


def test_where_a_whole_line_comes_back_so_does_its_end() -> None:
    heard = heard_in((LINE + OTHER) * 2, {LAST: 0.6}, [17])
    for echo in ("echo_around", "echo_near_around", "echo_opening"):
        assert heard[echo] == [0.6]
    assert heard["echo_opening_in_bar"] == [0.6]


def test_the_mean_is_of_all_other_places() -> None:
    heard = heard_in(LINE * 4, {LAST: 0.6, 11: 0.8, 17: 0.1}, [LAST, 17])
    assert heard["echo_close"] == pytest.approx([0.45, 0.7]), "the last has no gap"


def test_what_is_heard_once_has_no_echo() -> None:
    heard = heard_in(LINE + OTHER, {LAST: 0.9}, [LAST])
    assert heard["echo_close"] == heard["echo_opening"] == [-1.0]


def test_notes_and_quarters_to_the_nearest_likely_ends() -> None:
    """Verse: lines have as many syllables each."""
    heard = heard_in(LINE * 3, {LAST: 0.9}, [2, LAST, 8])
    assert heard["notes_since_likely"] == [3, 6, 3]
    assert heard["notes_until_likely"] == [3, 12, 9]
    assert heard["beats_since_likely"] == [3, 8, 3]
    assert heard["beats_until_likely"] == [5, 16, 13]


def test_a_line_with_the_upbeat_of_the_tune_stands_where_the_tune_began() -> None:
    heard = heard_in("rh. C3q D3h E3q F3q G3h. D3q E3h F3h", {}, [0, 4, 5])
    assert heard["opening_in_phase"] == pytest.approx([0.25, 0.0, 0.25], abs=1e-5)
    assert heard["opening_in_beats"] == pytest.approx([1.0, 0.0, 1.0], abs=1e-5)


def test_no_gap_has_no_echo() -> None:
    heard = heard_in(LINE, {}, [])
    assert set(map(len, heard.values())) == {0}
