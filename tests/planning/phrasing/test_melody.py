"""A part as plain numbers."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from coach.planning.phrasing.melody import NEAR_NOTES, hear_melody
from coach.score.metre import Metre
from coach.score.phrase import Bar, Part
from coach.score.tempo import Beats, beats
from tests.hand_made import part_of


def with_bars(part: Part, *bars: Bar) -> Part:
    return replace(part, bars=bars)


def test_a_step_goes_to_the_next_start_and_doubles_as_one() -> None:
    melody = hear_melody(part_of("C3q D3h E3e rq F3q"))
    assert melody.steps == pytest.approx([0, 1, 0.585, 0], abs=1e-3)
    assert melody.rests == [0, 0, 1]
    assert melody.intervals == [2, 2, 1]
    assert melody.gaps == 3


def test_usual_is_what_the_notes_around_have_and_not_the_whole_piece() -> None:
    melody = hear_melody(part_of("C3s " * 100 + "C3h " * 100))
    assert melody.usual_steps[0] == -2
    assert melody.usual_steps[-1] == 1
    assert melody.usual_steps[100 + NEAR_NOTES] == 1


def test_shares_tell_how_a_long_note_stands_out() -> None:
    melody = hear_melody(part_of("C3s C3s C3s C3e C3s C3s"))
    assert melody.shorter_shares[3] == pytest.approx(5 / 6)
    assert melody.longer_shares[3] == 0
    assert melody.longer_shares[0] == pytest.approx(1 / 6)


@pytest.mark.parametrize(
    ("metre", "words", "levels"),
    [
        (Metre(4, 4), "C3q C3q C3q C3e C3s C3s C3q", [5, 3, 4, 3, 1, 0, 5]),
        (Metre(3, 4), "C3q C3q C3e C3e C3q", [5, 3, 3, 1, 5]),
        (Metre(6, 8), "C3e C3e C3e C3e C3s C3s C3e C3q", [5, 2, 2, 4, 2, 1, 2, 5]),
        (Metre(9, 8), "C3q. C3q. C3e C3q C3q", [5, 3, 3, 2, 5]),
    ],
)
def test_beats_weigh_by_their_place_in_the_bar(
    metre: Metre, words: str, levels: list[int]
) -> None:
    assert hear_melody(part_of(words, metre=metre)).levels == levels


def test_places_count_bars_and_a_pickup_lies_before_its_bar_line() -> None:
    part = part_of("G3q C4h. G3q")
    pickup = Bar(0, beats(0), beats(1), Metre(4, 4), first_beat=Fraction(4))
    melody = hear_melody(
        with_bars(part, pickup, Bar(1, beats(1), beats(4), Metre(4, 4)))
    )
    assert melody.places == pytest.approx([0.75, 1, 1.75])
    assert melody.phases == pytest.approx([0.75, 0, 0.75])
    assert melody.end_place == pytest.approx(2)


def test_a_short_first_bar_is_a_pickup_even_if_the_page_does_not_say_so() -> None:
    part = part_of("G3q C4h. G3q")
    short = Bar(1, beats(0), beats(1), Metre(4, 4))
    melody = hear_melody(
        with_bars(part, short, Bar(2, beats(1), beats(4), Metre(4, 4)))
    )
    assert melody.places[0] == pytest.approx(0.75)


def test_a_piece_of_one_short_bar_ends_with_the_bar() -> None:
    part = part_of("C4h D4q")
    melody = hear_melody(with_bars(part, Bar(1, beats(0), beats(3), Metre(4, 4))))
    assert melody.end_place == pytest.approx(1)


def test_both_halves_of_a_bar_that_a_repeat_sign_divides_are_one_bar() -> None:
    part = part_of("C3h D3h E3w")
    common = Metre(4, 4)
    melody = hear_melody(
        with_bars(
            part,
            Bar(1, beats(0), beats(2), common),
            Bar(1, beats(2), beats(2), common, first_beat=Fraction(3)),
            Bar(2, beats(4), beats(4), common),
        )
    )
    assert melody.places == pytest.approx([0, 0.5, 1])


def test_a_bar_longer_than_its_metre_counts_as_the_bars_that_fit_in() -> None:
    part = part_of("C3w D3w E3w")
    common = Metre(4, 4)
    melody = hear_melody(
        with_bars(
            part, Bar(1, beats(0), beats(8), common), Bar(2, beats(8), beats(4), common)
        )
    )
    assert melody.places == pytest.approx([0, 1, 2])


def test_a_change_of_metre_keeps_counting_bars() -> None:
    part = part_of("C3w D3q. E3q. F3q.")
    six = Metre(6, 8)
    melody = hear_melody(
        with_bars(
            part,
            Bar(1, beats(0), beats(4), Metre(4, 4)),
            Bar(2, beats(4), beats(3), six),
            Bar(3, beats(7), beats(3), six),
        )
    )
    assert melody.places == pytest.approx([0, 1, 1.5, 2])
    assert melody.bar_beats == [4, 3, 3, 3]


def test_notes_at_one_place_still_have_a_step() -> None:
    part = part_of("C3q D3q")
    here = tuple(replace(note, onset=Beats(Fraction(0))) for note in part.notes)
    melody = hear_melody(replace(part, notes=here))
    assert melody.steps[0] == -5
