"""Several players at one laptop never get into each other's way."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from coach.config import PLAYER_VARIABLE, player_name, player_path
from coach.errors import ConfigError
from coach.wiring.player_file import change_facts, read_facts, write_facts
from coach.wiring.who_plays.players import list_players, playing_as


@pytest.fixture(autouse=True)
def nobody_else(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    monkeypatch.delenv(PLAYER_VARIABLE, raising=False)


def settle(name: str) -> None:
    with playing_as(name, may_be_new=True):
        write_facts(change_facts(read_facts(), {"capacity_l": 3.0}))


def test_each_has_settings_of_their_own() -> None:
    write_facts(change_facts(read_facts(), {"capacity_l": 5.0}))
    mine = player_path()
    settle("Ann")
    with playing_as("Ann", may_be_new=False):
        assert (player_name(), read_facts().capacity_l) == ("Ann", 3.0)
        assert player_path() != mine
    assert (player_name(), read_facts().capacity_l) == ("", 5.0)
    assert PLAYER_VARIABLE not in os.environ


def test_a_name_is_found_however_it_is_typed() -> None:
    settle("Zoé  Ann")
    for typed in ("zoé ann", "  ZOE\u0301 ANN "):
        with playing_as(typed, may_be_new=True):
            assert player_name() == "Zoé Ann"
    assert list_players() == ["Zoé Ann"]


def test_somebody_unknown_is_asked_for_or_made() -> None:
    settle("Ann")
    with pytest.raises(ConfigError, match=r"no player “Ben”\. There are: Ann\. A new"):
        playing_as("Ben", may_be_new=False).__enter__()
    with playing_as("Ben", may_be_new=True):
        assert player_name() == "Ben"


NAMELESS = ["../x", "a/b", ".hid", "-x", "a\x00b", "a\nb", "a\tb", "", "  ", "x."]


@pytest.mark.parametrize("name", NAMELESS)
def test_no_name_leads_elsewhere(name: str) -> None:
    with pytest.raises(ConfigError, match="cannot be a player's name") as refused:
        playing_as(name, may_be_new=True).__enter__()
    assert str(refused.value).isprintable()


def test_a_name_fits_a_line() -> None:
    with pytest.raises(ConfigError, match="too long"):
        playing_as("a" * 41, may_be_new=True).__enter__()


def test_the_environment_names_the_one_who_plays(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    settle("Ann")
    monkeypatch.setenv(PLAYER_VARIABLE, "ann")
    with playing_as(None, may_be_new=False):
        assert player_name() == "Ann"
    assert os.environ[PLAYER_VARIABLE] == "ann"


def test_a_file_in_the_place_of_the_players_is_told_of(tmp_path: Path) -> None:
    (tmp_path / "players").write_text("")
    with pytest.raises(ConfigError, match="cannot be listed"):
        list_players()
