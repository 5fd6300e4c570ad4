"""Instruments: shipped ones, and files of the player's own."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from coach.config import shipped
from coach.errors import ConfigError
from coach.planning.player_facts import hold_tones, take_up
from coach.wiring.instrument_files import (
    broken_instruments,
    describe_instrument,
    find_own_line,
    list_instruments,
    open_instrument,
)
from coach.wiring.player_file import (
    list_tones,
    make_player,
    read_air,
    read_facts,
    read_model,
    write_facts,
)
from coach.wiring.player_planner import PlayerPlanner

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
        ("also_called = [3]" + FILE, "also_called"),
    ],
)
def test_a_file_that_makes_no_sense_is_named_to_who_asks_for_it(
    folder: Path, text: str, said: str
) -> None:
    (folder / "serpent.toml").write_text(text, encoding="utf-8")
    with pytest.raises(ConfigError, match=said) as caught:
        open_instrument("Serpent")
    assert str(folder / "serpent.toml") in caught.value.message
    with pytest.raises(ConfigError, match="no instrument “ophicleide”") as caught:
        open_instrument("ophicleide")
    assert "Choose from: tenor-trombone" in caught.value.hint
    assert said in caught.value.hint
    assert [said in told for told in broken_instruments()] == [True]


def test_a_broken_file_stands_in_the_way_of_no_other_instrument(folder: Path) -> None:
    names = [entry.name for entry in list_instruments()]
    (folder / "serpent.toml").write_text("title = ", encoding="utf-8")
    assert [entry.name for entry in list_instruments()] == names
    assert PlayerPlanner().instrument.name == "tenor-trombone"
    assert PlayerPlanner("horn").instrument.name == "horn-f"
    assert find_own_line(["Flute", "Trombone"]) == 1


def test_where_ones_own_horn_is_broken_the_shipped_one_does_not_stand_in(
    folder: Path,
) -> None:
    """A plan for other slides and valves than the player's would be taken for it."""
    (folder / "horn-f.toml").write_text("title = ", encoding="utf-8")
    assert "horn-f" not in [entry.name for entry in list_instruments()]
    for name in ("horn-f", "French horn"):
        with pytest.raises(ConfigError, match="cannot be read"):
            open_instrument(name)


@pytest.mark.usefixtures("folder")
def test_slides_stand_first_and_of_them_the_usual_one() -> None:
    kinds = [entry.kind for entry in list_instruments()]
    assert list_instruments()[0].name == "tenor-trombone"
    assert kinds == sorted(kinds, key=["slide", "valves", "breath-only"].index)


def test_a_long_tone_is_measured_by_the_instruments_own_pitch(folder: Path) -> None:
    """A tuba's tone takes more air than F3, by the model; so the same time is less."""
    facts = read_facts()
    scales = {
        name: make_player(
            hold_tones(facts, describe_instrument(name), long_s=20.0)
        ).flow_scale
        for name in ("trumpet", "tenor-trombone", "tuba-bb")
    }
    assert scales["trumpet"] > scales["tenor-trombone"] > scales["tuba-bb"]
    write_facts(hold_tones(facts, describe_instrument("flute"), long_s=20.0))
    assert read_facts().long_tone_midi == 69
    assert "long_tone_midi = 69" in (folder.parent / "player.toml").read_text("utf-8")


@pytest.mark.usefixtures("folder")
def test_a_tone_of_one_family_tells_nothing_of_another() -> None:
    """A flutist's 15 s say nothing of how long the same person's oboe lasts."""
    facts = hold_tones(read_facts(), describe_instrument("flute"), long_s=15.0)
    facts = hold_tones(facts, describe_instrument("trumpet"), loud_s=6.0)
    write_facts(facts)
    assert read_facts() == facts
    flutist, oboist = (make_player(facts, wind) for wind in ("flute", "oboe"))
    assert flutist.is_flow_known
    assert flutist.flow_scale != 1.0
    assert (oboist.is_flow_known, oboist.flow_scale) == (False, 1.0)
    assert not list_tones(facts, "brass")
    assert len(list_tones(facts, "flute")) == 1
    for wind in ("flute", "oboe", "brass"):
        assert read_air(facts, wind) == read_model(wind, flutist.capacity_l)


@pytest.mark.usefixtures("folder")
def test_plans_for_another_instrument_go_by_what_was_timed_on_it() -> None:
    facts = hold_tones(read_facts(), describe_instrument("tenor-trombone"), long_s=14.0)
    facts = hold_tones(
        take_up(facts, "trumpet"), describe_instrument("trumpet"), long_s=9.0
    )
    write_facts(facts)
    assert read_facts().tones["tenor-trombone"]["long_tone_s"] == 14.0
    scales = [PlayerPlanner(name).player.flow_scale for name in (None, "trombone")]
    write_facts(take_up(facts, "tenor-trombone"))
    turned = [PlayerPlanner(name).player.flow_scale for name in ("trumpet", None)]
    assert turned == scales
    assert scales[0] > scales[1]


def test_a_tone_written_down_without_its_family_is_of_what_is_played() -> None:
    told = replace(read_facts(), long_tone_s=15.0, loud_tone_s=9.0)
    for wind in ("brass", "oboe"):
        assert len(list_tones(told, wind)) == len(("long", "loud"))
        assert make_player(told, wind).is_flow_known


def test_a_wind_whose_air_nobody_knows_is_named(folder: Path) -> None:
    text = FILE.replace("[[readings]]", 'wind = "drone"\n[[readings]]')
    (folder / "serpent.toml").write_text(text, encoding="utf-8")
    with pytest.raises(ConfigError, match="no wind “drone”") as caught:
        PlayerPlanner("serpent")
    assert "brass, flute, oboe" in str(caught.value.hint)


def test_plans_and_learning_are_made_by_the_law_of_what_is_played() -> None:
    """Before anything is learned the player is the law's own, whichever it is."""
    for name, wind in (("flute", "flute"), ("oboe", "oboe"), ("trumpet", "brass")):
        planner = PlayerPlanner(name)
        law = read_model(wind, planner.player.capacity_l)
        assert planner.settings.air == law
        assert planner.air.estimate.flow_scale == pytest.approx(1.0, abs=0.01)


def test_a_tone_that_is_no_key_is_named(folder: Path) -> None:
    text = "[player]\nlong_tone_s = 20\nlong_tone_midi = 9000\n"
    (folder.parent / "player.toml").write_text(text, encoding="utf-8")
    with pytest.raises(ConfigError, match="long_tone_midi is 9000"):
        make_player(read_facts())
