"""JSON that is only shown."""

from __future__ import annotations

import json

import pytest

from coach.plain.safe_json import write_json


@pytest.mark.parametrize(
    "words",
    ["Étude in E♭", "\x1b[31m\x9b31m", "a\u202eb", "\ud800", "\U000e0001", "a\nb"],
)
def test_nothing_in_it_commands_a_terminal_and_nothing_is_lost(words: str) -> None:
    told = write_json({"note": words, "more": [words]})
    assert json.loads(told) == {"note": words, "more": [words]}
    assert all(line.isprintable() for line in told.split("\n"))


def test_letters_stay_readable() -> None:
    assert write_json("Étude in E♭") == '"Étude in E♭"'
