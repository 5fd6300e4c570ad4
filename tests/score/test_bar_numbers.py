"""Bars are counted as a player counts them."""

from __future__ import annotations

from fractions import Fraction

import pytest

from coach.score.bar_numbers import name_bars, number_bars
from coach.score.metre import Metre
from coach.score.page import PageBar
from coach.score.played.repeats import RepeatSigns
from coach.score.tempo import beats

COMMON = Metre(4, 4)


def bars(*counted: tuple[int, int], metre: Metre = COMMON) -> list[PageBar]:
    return [PageBar(number, beats(length), metre) for number, length in counted]


@pytest.mark.parametrize(
    ("counted", "numbers", "firsts"),
    [
        ([(1, 4), (2, 4)], [1, 2], [1, 1]),
        ([(0, 1), (1, 4), (2, 3)], [0, 1, 2], [4, 1, 1]),
        # Some programs count the pickup as bar 1, or give it no number.
        ([(1, 1), (2, 4), (3, 3)], [0, 1, 2], [4, 1, 1]),
        ([(1, 1), (1, 4), (2, 3)], [0, 1, 2], [4, 1, 1]),
        # A repeat sign divides bar 2: its second half starts on beat 4.
        ([(1, 4), (2, 3), (2, 1), (3, 4)], [1, 2, 2, 3], [1, 1, 4, 1]),
        # The last bar of one stretch and the pickup of the next are one bar in time.
        ([(0, 1), (1, 4), (2, 3), (3, 1), (4, 4)], [0, 1, 2, 3, 4], [4, 1, 1, 4, 1]),
        # Two short bars that do not make one bar together start on their beat 1.
        ([(1, 4), (2, 3), (3, 3)], [1, 2, 3], [1, 1, 1]),
        # Longer than its metre.
        ([(1, 5), (2, 4)], [1, 2], [1, 1]),
        # Without numbers, bars are counted.
        ([(0, 4), (0, 4), (0, 4)], [1, 2, 3], [1, 1, 1]),
        ([(0, 1), (0, 4), (0, 4)], [0, 1, 2], [4, 1, 1]),
        # One bar alone is no pickup.
        ([(1, 1)], [1], [4]),
    ],
)
def test_bars_are_numbered(
    counted: list[tuple[int, int]], numbers: list[int], firsts: list[int]
) -> None:
    numbered, _ = number_bars(bars(*counted))
    assert [bar.number for bar in numbered] == numbers
    assert [bar.first_beat for bar in numbered] == firsts


def test_a_pickup_in_six_eight_starts_on_its_eighth() -> None:
    page = [
        PageBar(0, beats("1/2"), Metre(6, 8)),
        PageBar(1, beats(3), Metre(6, 8)),
    ]
    numbered, _ = number_bars(page)
    assert numbered[0].first_beat == Fraction(6)


def test_later_endings_begin_on_the_beat_of_the_first() -> None:
    signs = [frozenset[int](), frozenset({1}), frozenset({2}), frozenset[int]()]
    page = [
        PageBar(number, beats(length), COMMON, signs=RepeatSigns(endings=endings))
        for (number, length), endings in zip(
            [(1, 3), (1, 1), (1, 1), (2, 4)], signs, strict=True
        )
    ]
    numbered, _ = number_bars([PageBar(0, beats(4), COMMON), *page])
    assert [bar.first_beat for bar in numbered] == [1, 1, 4, 4, 1]
    first, *rest = page[1:]
    assert [bar.first_beat for bar in number_bars([first, *rest])[0]] == [4, 1, 1]


def remarks(*counted: tuple[int, int]) -> str:
    return " ".join(number_bars(bars(*counted))[1])


def test_numbers_that_differ_from_the_page_are_told() -> None:
    assert remarks((0, 1), (1, 4)) == ""
    assert "1 less than on the page" in remarks((1, 1), (2, 4), (3, 4))


def test_bars_that_do_not_fit_their_time_signature_are_told() -> None:
    assert "bar 2." in remarks((1, 4), (2, 3), (3, 4), (4, 3))
    many = remarks((1, 4), *[(k, 5) for k in range(2, 9)])
    assert "bars 2 to 7." in many


def test_a_free_bar_has_no_length_to_keep() -> None:
    cadenza = PageBar(2, beats("107/4"), Metre(26, 4, is_free=True))
    _, told = number_bars([*bars((1, 4)), cadenza, *bars((3, 4), (4, 4))])
    assert told == ()


def test_pickups_divided_bars_and_the_last_bar_may_be_short() -> None:
    assert remarks((0, 1), (1, 4), (2, 3), (2, 1), (3, 3)) == ""


@pytest.mark.parametrize(
    ("numbers", "words"),
    [
        ([5], "bar 5"),
        ([0, 0], "bar 0"),
        ([1, 2, 3], "bars 1 to 3"),
        ([3, 1], "bars 1, 3"),
        ([9, 2, 3, 3, 5], "bars 2 to 3, 5, 9"),
        (range(1, 16, 2), "bars 1, 3, 5, 7, 9, 11 and others"),
    ],
)
def test_bars_are_named_once_and_in_order(numbers: list[int], words: str) -> None:
    assert name_bars(numbers) == words
