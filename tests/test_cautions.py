"""The cautions: plain, short enough for the screen, each with its source."""

from __future__ import annotations

import re
from typing import Any

import pytest

from coach.config import read_shipped

CAUTIONS: list[dict[str, Any]] = read_shipped("cautions")["caution"]
SHORT_COLUMNS = 70
TEXT_COLUMNS = 300
ALARMING = ("danger", "warning", "fatal", "death", "never", "must", "risk", "!")


def name_of(caution: dict[str, Any]) -> str:
    return str(caution["name"])


def sentences(text: str) -> int:
    """Count the full stops that end a sentence."""
    return len(re.findall(r"[.?](?:\s|$)", text))


def test_every_thing_a_player_must_know_is_there_once() -> None:
    assert sorted(name_of(caution) for caution in CAUTIONS) == [
        *("arm", "ask first", "dizzy", "ears", "lips", "teacher")
    ]


def test_the_first_start_opens_with_one_line() -> None:
    line = read_shipped("cautions")["first_start"]
    assert 0 < len(line) <= SHORT_COLUMNS
    assert line.isprintable()


@pytest.mark.parametrize("caution", CAUTIONS, ids=name_of)
class TestCaution:
    def test_it_holds_these_four_texts_and_no_more(
        self, caution: dict[str, Any]
    ) -> None:
        assert set(caution) == {"name", "short", "text", "source"}
        assert all(value.strip() == value != "" for value in caution.values())
        assert all(value.isprintable() for value in caution.values())

    def test_its_short_form_fits_one_line_of_the_screen(
        self, caution: dict[str, Any]
    ) -> None:
        assert len(caution["short"]) <= SHORT_COLUMNS

    def test_its_text_is_one_or_two_sentences(self, caution: dict[str, Any]) -> None:
        assert len(caution["text"]) <= TEXT_COLUMNS
        assert 1 <= sentences(caution["text"]) <= 2

    def test_its_source_is_published_or_owns_up(self, caution: dict[str, Any]) -> None:
        source = caution["source"]
        is_published = re.search(r"\b(19|20)\d\d\b|NIOSH|NASM", source) is not None
        assert is_published or "common practice, no published source" in source

    def test_it_does_not_frighten(self, caution: dict[str, Any]) -> None:
        said = f"{caution['short']} {caution['text']}".lower()
        assert [word for word in ALARMING if word in said] == []

    def test_it_tells_what_to_do(self, caution: dict[str, Any]) -> None:
        """Each has a verb that a player can follow at once."""
        doing = ("stop", "rest", "take", "ask", "do that")
        assert any(word in caution["text"].lower() for word in doing)


def test_noise_halves_the_time_for_every_three_decibels() -> None:
    """Held to the exchange rate of the CDC/NIOSH recommended exposure limit."""
    ears = next(caution for caution in CAUTIONS if caution["name"] == "ears")
    assert "85 dBA" in ears["text"]
    assert "eight hours" in ears["text"]
    assert "every 3 dB more halves" in ears["text"]
