"""Bars, named as players name them."""

from __future__ import annotations

import pytest

from coach.planning.bar_words import name_bars


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
