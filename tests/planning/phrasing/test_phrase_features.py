"""What the first look sees in length, pitch, metre and form."""

from __future__ import annotations

import pytest

from coach.planning.phrasing.melody import hear_melody
from coach.planning.phrasing.phrase_features import look_first
from coach.planning.phrasing.phrase_likeness import Columns
from tests.hand_made import part_of


def seen_in(words: str) -> Columns:
    return look_first(hear_melody(part_of(words)))


def highest(column: str, words: str) -> int:
    values = seen_in(words)[column]
    return max(range(len(values)), key=values.__getitem__)


SIXTEENTHS = "C3s D3s E3s F3s G3s A3s G3e F3s E3s D3s E3s F3s D3s C3e E3s F3s"


def test_the_eighth_among_sixteenths_stands_out_like_a_half_among_quarters() -> None:
    slow = SIXTEENTHS.replace("s", "q").replace("e", "h")
    for column in ("step", "peak_before6", "peak_after3", "run_after", "shorter_share"):
        assert seen_in(SIXTEENTHS)[column] == pytest.approx(seen_in(slow)[column])
    assert seen_in(SIXTEENTHS)["step"][6] == 1


def test_the_longest_note_of_a_group_is_a_peak_on_both_sides() -> None:
    words = "C3q D3q E3q F3h G3q A3q G3q F3q"
    assert highest("peak_before6", words) == 0, "nothing is before the first note"
    assert highest("peak_after6", words) == 3
    assert seen_in(words)["peak_before6"][3] == 1


def test_a_rest_is_measured_against_the_usual_step() -> None:
    seen = seen_in("C3e D3e E3e F3e re G3e F3e E3e D3e")
    assert seen["rest"][3] == 1
    assert seen["rest_share"][3] == 0.5


def test_form_counts_from_the_first_note_and_to_the_last() -> None:
    seen = seen_in("C3w " * 8)
    assert seen["bars_since_start"][:2] == pytest.approx([1, 2], abs=1e-3)
    assert seen["bars_left"][-1] == pytest.approx(1, abs=1e-3)
    assert seen["since_start_in4"][3] == pytest.approx(0, abs=1e-3)
    assert seen["notes_left"][-1] == 1


def test_bars_since_a_note_as_long_and_since_a_rest() -> None:
    seen = seen_in("C3h D3q D3q C3h D3q rq C3h D3q D3q")
    assert seen["bars_since_long"][3] == pytest.approx(1)
    assert seen["bars_until_long"][0] == pytest.approx(1)
    assert seen["bars_since_rest"][4] == pytest.approx(2)
    assert seen["bars_since_rest"][5] == pytest.approx(0.5)


def test_what_stands_where_there_is_no_note() -> None:
    seen = seen_in("C3q D3q")
    assert seen["step_against-1"] == [9.0]
    assert seen["peak_before6"] == [9.0]
    assert seen["run_before"] == [9.0]
    assert seen["interval_before"] == [15]
    assert seen["level_after_next"] == [-1]


def test_every_column_has_a_number_for_every_gap() -> None:
    for count in (2, 3, 5, 13, 60):
        assert {len(column) for column in seen_in("C3q " * count).values()} == {
            count - 1
        }


def test_an_interval_beyond_songs_is_held_in() -> None:
    seen = seen_in("C2q C5q C2q")
    assert seen["next_above_first"] == [14, 0]
    assert seen["leap"] == [36, 36]
