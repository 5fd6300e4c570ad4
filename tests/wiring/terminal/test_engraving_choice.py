"""Whether staves are engraved: the flag, the player's file, the terminal."""

from __future__ import annotations

import argparse
from pathlib import Path

import pytest

from coach.command_line.command_parser import build_parser
from coach.errors import ConfigError
from coach.wiring.screens_file import read_screen_facts, write_screen_facts
from coach.wiring.terminal.engraving_choice import NO_GRAPHICS, choose_engraving

GHOSTTY = {"TERM": "xterm-ghostty"}
PLAIN_TERMINAL = {"TERM": "xterm-256color"}


def asked(*words: str) -> argparse.Namespace:
    """Call the coach with some words."""
    return build_parser().parse_args(words)


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    return tmp_path


def test_the_flag_stands_before_and_behind_the_command() -> None:
    assert asked().engraved is None
    assert asked("--engraved", "on").engraved == "on"
    assert asked("--engraved", "on", "rehearse", "tide").engraved == "on"
    assert asked("rehearse", "tide", "--engraved", "off").engraved == "off"


def test_a_known_terminal_gets_pictures_and_another_does_not() -> None:
    made = choose_engraving(asked(), GHOSTTY, is_plain=False).engraver
    assert made is not None
    assert made.graphics == "kitty"
    made.close()
    choice = choose_engraving(asked(), PLAIN_TERMINAL, is_plain=False)
    assert (choice.engraver, choice.words) == (None, "")


def test_letters_and_dashes_and_no_colour_mean_no_pictures() -> None:
    assert choose_engraving(asked(), GHOSTTY, is_plain=True).engraver is None
    no_colour = {**GHOSTTY, "NO_COLOR": "1"}
    assert choose_engraving(asked(), no_colour, is_plain=False).engraver is None


def test_one_who_wants_pictures_where_there_are_none_is_told_once() -> None:
    inside = {**PLAIN_TERMINAL, "TMUX": "/tmp/tmux"}
    choice = choose_engraving(asked("--engraved", "on"), inside, is_plain=False)
    assert (choice.engraver, choice.words) == (None, NO_GRAPHICS)


def test_off_means_off_and_the_players_file_is_kept(home: Path) -> None:
    (home / "player.toml").write_text('[screens]\nengraved = "off"\n')
    assert choose_engraving(asked(), GHOSTTY, is_plain=False).engraver is None
    write_screen_facts(read_screen_facts())
    assert read_screen_facts().engraved == "off"
    flag = asked("--engraved", "auto")
    assert choose_engraving(flag, GHOSTTY, is_plain=False).engraver is not None


def test_another_word_in_the_players_file_is_refused(home: Path) -> None:
    (home / "player.toml").write_text('[screens]\nengraved = "yes"\n')
    with pytest.raises(ConfigError, match="engraved is “yes”"):
        choose_engraving(asked(), GHOSTTY, is_plain=False)
