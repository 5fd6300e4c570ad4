"""Chosen gear and learned pedals are remembered, and nothing else is touched."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from coach.config import read_player_file, write_player_file
from coach.edges.gear_file import (
    read_choice,
    read_pedals,
    write_choice,
    write_pedals,
)


@pytest.fixture(autouse=True)
def players_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Give the player an empty folder."""
    monkeypatch.setenv("COACH_HOME", str(tmp_path))


def test_a_chosen_port_is_remembered_by_name() -> None:
    choice = replace(read_choice(), midi_out="Big Synth", sound="on")
    write_choice(choice)
    assert read_choice() == choice


def test_a_learned_pedal_is_remembered_beside_the_chosen_port() -> None:
    write_choice(replace(read_choice(), midi_out="Big Synth"))
    pedals = replace(read_pedals(), mark="key 36 channel 10")
    write_pedals(pedals)
    assert read_pedals() == pedals
    assert read_choice().midi_out == "Big Synth"


def test_what_else_the_player_has_set_stays() -> None:
    write_player_file({"player": {"age": 30}, "click": {"track": {"beat_key": 33}}})
    write_choice(replace(read_choice(), midi_out="Big Synth"))
    file = read_player_file()
    assert file["player"] == {"age": 30}
    assert file["click"]["track"] == {"beat_key": 33}
