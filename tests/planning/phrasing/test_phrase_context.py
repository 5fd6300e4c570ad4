"""What the second look sees."""

from __future__ import annotations

import pytest

from coach.planning.phrasing.melody import hear_melody
from coach.planning.phrasing.phrase_context import look_again
from tests.hand_made import part_of

EIGHT_BARS = hear_melody(part_of("C3h D3h " * 8))
CHANCES = [0.1 if k % 4 != 3 else 0.8 for k in range(15)]


def test_an_end_every_two_bars_is_seen_from_two_bars_away() -> None:
    seen = look_again(EIGHT_BARS, CHANCES, [7], likely_share=0.5)
    assert seen["first_chance"] == [0.8]
    assert seen["chance-2bars"] == [0.8]
    assert seen["chance+2bars"] == [0.8]
    assert seen["chance-1bars"] == [0.1]
    assert seen["chance-4bars"] == [1.0], "the piece begins there"
    assert seen["chance+8bars"] == [-1.0], "the piece is over"
    assert seen["chance_every2bars"] == pytest.approx([(1 + 3 * 0.8) / 4])


def test_neighbours_and_what_lies_beyond_the_ends() -> None:
    seen = look_again(EIGHT_BARS, CHANCES, [0, 14], likely_share=0.5)
    assert seen["chance-1"] == [1.0, 0.1]
    assert seen["chance+1"] == [0.1, 1.0]
    assert seen["chance-2"] == [-1.0, 0.1]
    assert seen["chance+4"] == [0.1, -1.0]


def test_bars_to_the_nearest_likely_ends() -> None:
    seen = look_again(EIGHT_BARS, CHANCES, [1, 3, 13], likely_share=0.5)
    assert seen["bars_since_likely"] == [1, 2, 1]
    assert seen["bars_until_likely"] == [1, 2, 1]
    assert seen["likely_in_middle"] == [0, 0, 0]


def test_a_line_is_held_against_the_one_before_and_the_one_after() -> None:
    """Verse: an end that would leave lines as long as the others is likelier."""
    seen = look_again(EIGHT_BARS, CHANCES, [1, 3, 5], likely_share=0.5)
    assert seen["line_against_last"] == [9.0, 9.0, -1.0], "no line before the first"
    assert seen["line_against_next"] == [-1.0, 0.0, -1.0]
    assert seen["lines_like_ended"] == [0.0, 1.0, 0.0]
    assert seen["lines_like_begun"] == [0.0, 1.0, 0.0]
    last = look_again(EIGHT_BARS, CHANCES, [14], likely_share=0.5)
    assert last["line_against_next"] == [9.0], "none after the last"


def test_the_best_chances_nearby_leave_out_the_gap_itself() -> None:
    seen = look_again(EIGHT_BARS, CHANCES, [3, 5], likely_share=0.5)
    assert seen["best_bar_before"] == [0.1, 0.8]
    assert seen["best_bar_after"] == [0.1, 0.1]
    assert seen["best_2bars_after"] == [0.8, 0.8]
    assert seen["best_2bars_before"] == [0.1, 0.1]


def test_the_usual_length_of_a_phrase_is_the_bars_over_the_ends_expected() -> None:
    seen = look_again(EIGHT_BARS, CHANCES, [7], likely_share=0.5)
    assert seen["bars_in_phrase"] == pytest.approx([7.5 / (sum(CHANCES) + 1)])


def test_no_gap_gives_no_numbers() -> None:
    assert set(map(len, look_again(EIGHT_BARS, CHANCES, [], 0.5).values())) == {0}
