"""What each pedal means, and which of what it sends is a press.

MIDI 1.0 Detailed Specification (MIDI Manufacturers Association): status 9n note on, Bn
control change, Cn program change; note on with velocity 0 is a note off; a switch
controller is on from 64.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.config import read_settings
from coach.errors import ConfigError
from coach.rehearsal.gear.pedals import (
    PedalBoard,
    PedalKeys,
    PedalMessage,
    read_pedal_message,
)

DAMPER = PedalMessage("control", 64)


def presses(board: PedalBoard, *messages: tuple[int, ...]) -> list[str]:
    """Tell what is pressed by messages, in words."""
    found = [board.press(bytes(message)) for message in messages]
    return [str(press) for press in found if press is not None]


def test_the_shipped_damper_pedal_marks() -> None:
    keys = read_settings(PedalKeys, "click", "pedals")
    assert keys.messages()["mark"] == DAMPER
    assert "again" not in keys.messages()


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ("control 64", DAMPER),
        ("  Key 36 Channel 10 ", PedalMessage("key", 36, 9)),
        ("program 3", PedalMessage("program", 3)),
    ],
)
def test_a_pedal_message_is_read_from_words(words: str, message: PedalMessage) -> None:
    assert read_pedal_message(words) == message


@pytest.mark.parametrize(
    "words", ["", "pedal 3", "control", "control 128", "key 3 channel 17", "key 3 4"]
)
def test_what_is_no_pedal_message_is_refused(words: str) -> None:
    with pytest.raises(ConfigError, match="no pedal message"):
        read_pedal_message(words)


messages = st.builds(
    PedalMessage,
    st.sampled_from(["key", "control", "program"]),
    st.integers(0, 127),
    st.none() | st.integers(0, 15),
)


@given(messages)
def test_a_pedal_message_in_words_reads_as_itself(message: PedalMessage) -> None:
    assert read_pedal_message(str(message)) == message


def test_a_sliding_pedal_is_pressed_once() -> None:
    slide = [(0xB0, 64, value) for value in (10, 50, 70, 90, 127, 90, 40, 0)]
    assert presses(PedalBoard({}), *slide) == ["control 64 channel 1"]


def test_a_pedal_that_only_sends_its_full_value_is_pressed_each_time() -> None:
    board = PedalBoard({})
    assert len(presses(board, (0xB0, 64, 127), (0xB0, 64, 127))) == 2


def test_a_switch_is_pressed_each_time_it_goes_down() -> None:
    switch = [(0xB3, 66, value) for value in (127, 0, 127, 0)]
    assert presses(PedalBoard({}), *switch) == ["control 66 channel 4"] * 2


def test_keys_are_pressed_by_note_on_and_released_by_velocity_0() -> None:
    board = PedalBoard({})
    assert presses(board, (0x99, 36, 100), (0x99, 36, 0), (0x89, 36, 64)) == [
        "key 36 channel 10"
    ]


def test_a_program_change_is_a_press() -> None:
    assert presses(PedalBoard({}), (0xC0, 5)) == ["program 5 channel 1"]


def test_what_is_no_channel_switch_is_no_press() -> None:
    assert presses(PedalBoard({}), (0xF8,), (0xE0, 0, 64), (0xD0, 100)) == []


def test_a_press_means_what_it_is_learned_for() -> None:
    board = PedalBoard({"mark": DAMPER, "again": PedalMessage("key", 36, 9)})
    assert board.action(PedalMessage("control", 64, 5)) == "mark"
    assert board.action(PedalMessage("key", 36, 9)) == "again"
    assert board.action(PedalMessage("key", 36, 0)) is None


def test_the_next_press_is_taken_for_the_action_that_waits() -> None:
    board = PedalBoard({"mark": DAMPER})
    press = PedalMessage("program", 2, 0)
    assert board.learn(press) is None
    board.learning = "breathed"
    assert board.learn(press) == "breathed"
    assert board.action(press) == "breathed"
    assert board.learn(press) is None


def test_a_pedal_that_learns_a_new_meaning_loses_the_old_one() -> None:
    board = PedalBoard({"mark": DAMPER})
    board.learning = "start-stop"
    press = PedalMessage("control", 64, 0)
    board.learn(press)
    assert board.action(press) == "start-stop"
    assert "mark" not in board.messages
