"""Instruments: shipped ones, and files of the player's own."""

from __future__ import annotations

from pathlib import Path

import pytest

from coach.config import shipped
from coach.errors import ConfigError
from coach.wiring.player_file import make_player, read_facts, write_facts
from coach.wiring.player_planner import (
    PlayerPlanner,
    describe_instrument,
    list_instruments,
    open_instrument,
)

FILE = """
title = "serpent"
kind = "breath-only"
lowest_midi = 36
highest_midi = 70
long_tone = "C3"
loud_tone = "F3"
[[readings]]
clef = "bass"
transposition_semitones = 0
"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    (tmp_path / "instruments").mkdir()
    return tmp_path / "instruments"


def test_a_file_in_the_players_folder_is_an_instrument(folder: Path) -> None:
    (folder / "serpent.toml").write_text(FILE, encoding="utf-8")
    assert open_instrument("Serpent").lowest == 36
    assert "serpent" in [entry.name for entry in list_instruments()]
    assert PlayerPlanner("serpent").instrument.title == "serpent"


def test_ones_own_horn_stands_before_the_shipped_one(folder: Path) -> None:
    text = (shipped("config") / "instruments/trumpet.toml").read_text(encoding="utf-8")
    own = text.replace('"trumpet in B flat"', '"my trumpet"')
    (folder / "trumpet.toml").write_text(own, encoding="utf-8")
    assert open_instrument("trumpet").title == "my trumpet"
    assert [entry.name for entry in list_instruments()].count("trumpet") == 1


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("title = ", "cannot be read"),
        ('title = "serpent"', "lacks kind"),
        (FILE.replace('"breath-only"', '"strings"'), "kind is 'strings'"),
        (FILE.replace("title", "titel"), "lacks title"),
        (FILE.replace('"serpent"', "3"), "title is 3"),
    ],
)
def test_a_file_that_makes_no_sense_is_named(
    folder: Path, text: str, said: str
) -> None:
    (folder / "serpent.toml").write_text(text, encoding="utf-8")
    with pytest.raises(ConfigError, match=said) as caught:
        list_instruments()
    assert str(folder / "serpent.toml") in caught.value.message


@pytest.mark.usefixtures("folder")
def test_slides_stand_first_and_of_them_the_usual_one() -> None:
    kinds = [entry.kind for entry in list_instruments()]
    assert list_instruments()[0].name == "tenor-trombone"
    assert kinds == sorted(kinds, key=["slide", "valves", "breath-only"].index)


def test_a_long_tone_is_measured_by_the_instruments_own_pitch(folder: Path) -> None:
    """A flute's A4 takes less air than F3, by the model; so the same time is more."""
    from coach.planning.player_facts import hold_tones

    facts = read_facts()
    scales = {
        name: make_player(
            hold_tones(facts, describe_instrument(name), long_s=20.0)
        ).flow_scale
        for name in ("tenor-trombone", "flute", "tuba-bb")
    }
    assert scales["flute"] > scales["tenor-trombone"] > scales["tuba-bb"]
    write_facts(hold_tones(facts, describe_instrument("flute"), long_s=20.0))
    assert read_facts().long_tone_midi == 69
    assert "long_tone_midi = 69" in (folder.parent / "player.toml").read_text("utf-8")


def test_a_tone_that_is_no_key_is_named(folder: Path) -> None:
    text = "[player]\nlong_tone_s = 20\nlong_tone_midi = 9000\n"
    (folder.parent / "player.toml").write_text(text, encoding="utf-8")
    with pytest.raises(ConfigError, match="long_tone_midi is 9000"):
        make_player(read_facts())
