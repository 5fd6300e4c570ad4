"""What is heard again."""

from __future__ import annotations

from coach.planning.phrasing.melody import hear_melody
from coach.planning.phrasing.phrase_likeness import Columns, look_for_likeness
from tests.hand_made import part_of

TUNE = "C3q. D3e E3q C3q E3q. F3e G3h "


def heard_in(words: str) -> Columns:
    return look_for_likeness(hear_melody(part_of(words)))


def highest(column: str, words: str) -> int:
    values = heard_in(words)[column]
    return max(range(len(values)), key=values.__getitem__)


def test_the_opening_is_found_again_in_rhythm_and_in_another_key() -> None:
    again = TUNE + "A3w " + "D3q. E3e F#3q D3q F#3q. G3e A3h"
    assert highest("opening_in_rhythm", again) == 7
    assert highest("opening_in_pitch", again) == 7
    assert heard_in(again)["opening_in_2bars"][7] == 1


def test_a_close_as_long_as_the_last_one_and_at_its_place_is_found() -> None:
    heard = heard_in("C3q E3q D3h G3q A3q G3q F3q C3h E3h")
    assert heard["close_in_length"][2] == 1
    assert heard["close_in_phase"][2] < 0.01
    assert heard["close_in_length"][3] == 0.5


def test_a_repeated_group_begins_and_stops_but_does_not_run_over_its_end() -> None:
    group = "C3q E3e D3e F3q A3e G3e "
    words = group + "B3h " + group + "C4h D3h " + group + "F3w"
    heard = heard_in(words)
    assert heard["tune3_begins"][6] > 0, "the group begins again after the first half"
    assert heard["tune3_stops"][5] > 0, "its last notes are not heard on"
    assert heard["tune3_runs_over"][3] > heard["tune3_runs_over"][6]


def test_a_gap_is_compared_with_those_some_bars_away() -> None:
    heard = heard_in("C3h. D3q E3q E3q E3h C3h. D3q C3w")
    assert heard["step_against+2bars"][0] == 0, "a dotted half at both places"
    assert heard["step_against-2bars"][5] == 0
    assert heard["step_against-4bars"][0] == -1, "no bar there"
    assert heard["step_against-2bars"][4] == 9, "the piece begins there"
