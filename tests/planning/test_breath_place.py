"""A breath is named by the bar and beat in which it begins."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.breath_place import (
    BreathPlace,
    moment_of_breath,
    name_place,
    place_after,
    say_after,
)
from coach.score.phrase import Place
from coach.score.tempo import Beats, Seconds
from tests.hand_made import held, part_of

PART = part_of("F3q G3e A3s Bb3s C4h F3q")


@pytest.mark.parametrize(
    ("k", "start", "says"),
    [
        (0, 0.6, "after bar 1, beat 1"),
        (1, 1.4, "after bar 1, beat 2"),
        (3, 1.9, "after bar 1, beat 2.75"),
        (4, 2.03, "at bar 1, beat 3"),
        (4, 2.97, "at bar 1, beat 4"),
        (4, 3.5, "after bar 1, beat 4"),
        (4, 3.95, "at bar 2, beat 1"),
        (4, 4.0, "at bar 2, beat 1"),
    ],
)
def test_it_is_the_beat_in_which_it_begins_or_the_note_within_it(
    k: int, start: float, says: str
) -> None:
    assert str(name_place(PART, PART.at_tempo(60), k, Seconds(start))) == says


def test_after_a_held_note_it_is_no_place_where_that_began() -> None:
    part = held()
    place = name_place(part, part.at_tempo(60), 0, Seconds(14.7))
    assert place == BreathPlace(4, 3.0, is_on=False)


def test_a_hair_before_a_bar_line_it_begins_on_it() -> None:
    tempo_map = PART.at_tempo(60)
    assert moment_of_breath(PART, tempo_map, Seconds(3.95)) == Place(2, 1.0)
    assert moment_of_breath(PART, tempo_map, Seconds(3.5)) == Place(1, 4.5)


@pytest.mark.parametrize(
    ("k", "says"),
    [
        (0, "after bar 1, beat 1"),
        (2, "after bar 1, beat 2.5"),
        (4, "after bar 1, beat 4"),
    ],
)
def test_a_wish_that_nobody_has_timed_is_named_by_the_end_of_the_note(
    k: int, says: str
) -> None:
    assert str(place_after(PART, k)) == says
    assert str(place_after(held(), 0)) == "after bar 4, beat 4"


def test_a_place_in_a_later_pass_is_named_with_its_time() -> None:
    part = part_of("F3q G3q A3q Bb3q C4w")
    again = [replace(note, onset=Beats(note.onset + 8)) for note in part.notes]
    bars = [replace(bar, onset=Beats(bar.onset + 8)) for bar in part.bars]
    twice = replace(part, notes=(*part.notes, *again), bars=(*part.bars, *bars))
    assert say_after(twice, 6, 4) == "after bar 1, beat 2, time 2 through,"
    assert say_after(twice, 6, 8) == "after bar 1, beat 2"
    assert say_after(twice, 1, 8) == say_after(twice, 1, 2) == "after bar 1, beat 2"
