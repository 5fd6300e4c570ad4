"""Tempos that a player can set: the notches of the scale, and whole beats."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.config import read_settings
from coach.rehearsal.click.tempo_scale import (
    TempoSettings,
    notch_at_most,
    say_bpm,
    step_tempo,
    whole_bpm,
)

SCALE = read_settings(TempoSettings, "rehearsal", "tempo")

# The traditional scale: common practice, no published source.


@pytest.mark.parametrize(
    ("bpm", "notches", "expected"),
    [
        (60, 1, 63),
        (63, -1, 60),
        (120, 2, 132),
        (61, 1, 63),
        (61, -1, 60),
        (40, -1, 38),
        (37, 1, 38),
        (39, 1, 40),
        (208, 1, 216),
        (216, -1, 208),
        (212, -1, 208),
        (230, -1, 224),
        (84, 0, 84),
        (21, -3, 20),
        (398, 3, 400),
    ],
)
def test_a_notch_is_one_step_of_the_traditional_scale(
    bpm: float, notches: int, expected: float
) -> None:
    assert step_tempo(bpm, notches, SCALE) == expected


@given(st.floats(30, 300), st.integers(1, 5))
def test_up_is_faster_and_down_is_slower(bpm: float, notches: int) -> None:
    assert step_tempo(bpm, notches, SCALE) > bpm
    assert step_tempo(bpm, -notches, SCALE) < bpm


@pytest.mark.parametrize("bpm", SCALE.notches_bpm[1:-1])
def test_one_notch_up_and_one_down_is_where_one_began(bpm: float) -> None:
    assert step_tempo(step_tempo(bpm, 1, SCALE), -1, SCALE) == bpm


def test_a_notch_is_more_than_can_just_be_heard() -> None:
    """Tempo changes of about 3 % are just heard (Sapp, mazurka.org.uk experiments)."""
    for low, high in zip(SCALE.notches_bpm, SCALE.notches_bpm[1:], strict=False):
        assert high / low > 1.03


@pytest.mark.parametrize(
    ("bpm", "notch"),
    [(62.4, 60), (63, 63), (37.7, 36), (40, 40), (212, 208), (216, 216), (5, 20)],
)
def test_a_suggestion_is_the_notch_on_the_slower_side(bpm: float, notch: float) -> None:
    assert notch_at_most(bpm, SCALE) == notch


@given(st.floats(20, 400))
def test_no_notch_lies_between_a_tempo_and_its_notch(bpm: float) -> None:
    notch = notch_at_most(bpm, SCALE)
    assert notch <= round(bpm, 2) < step_tempo(notch, 1, SCALE) or notch == 400
    assert step_tempo(step_tempo(notch, 1, SCALE), -1, SCALE) in (notch, 392)


def test_a_page_in_dotted_beats_is_set_in_whole_ones() -> None:
    assert whole_bpm(113 / 1.5) == 75
    assert whole_bpm(0.1 * 3 * 200) == 60
    assert whole_bpm(59.9999999) == 60, "no accident of arithmetic"


def test_tempos_are_said_plainly() -> None:
    assert say_bpm(84.0) == "84"
    assert say_bpm(84.25) == "84.2"
