"""Words that ask for another sound."""

from __future__ import annotations

import pytest

from coach.score.sound_words import told_of_sound


@pytest.mark.parametrize(
    "words",
    [
        "con sord.",
        "Con sordino",
        "sord.",
        "mit Dämpfer",
        "gedämpft",
        "straight mute",
        "muted",
        "gestopft",
        "stopped",
        "bouché",
    ],
)
def test_a_mute_is_told_as_not_reckoned_with(words: str) -> None:
    assert list(told_of_sound(words)) == [
        f"“{words}” is not reckoned with, the air is that of the open instrument."
    ]


@pytest.mark.parametrize("words", ["flz.", "flt.", "Flatterzunge", "flutter", "frull."])
def test_a_fluttering_tongue_is_told_as_not_reckoned_with(words: str) -> None:
    assert list(told_of_sound(words)) == [
        f"“{words}” is not reckoned with, the air is that of a plain tone."
    ]


@pytest.mark.parametrize(
    "words",
    ["senza sord.", "via sordino", "ohne Dämpfer", "remove mute", "open", "", "dolce"],
)
def test_an_open_horn_needs_no_word(words: str) -> None:
    assert list(told_of_sound(words)) == []


def test_muted_and_fluttered_are_two_things() -> None:
    assert len(list(told_of_sound("con sord., flz."))) == 2
