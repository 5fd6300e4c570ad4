"""``coach import``: what it says, and what it asks for where the shelf has it."""

from __future__ import annotations

import shlex
import shutil
from pathlib import Path

import pytest

from coach.cli import main
from coach.config import shipped
from coach.wiring.taking_in import put_on_shelf

TUNE = "X:1\nT:Low Road\nM:4/4\nL:1/4\nK:Bb clef=bass\nB,2 C2|D4|\n"


@pytest.fixture
def tune(tmp_path: Path) -> Path:
    """A tune in a file."""
    file = tmp_path / "low-road.abc"
    file.write_text(TUNE, encoding="utf-8")
    return file


def test_what_was_read_is_told_with_how_to_rehearse_it(
    tune: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(("import", str(tune))) == 0
    told = capsys.readouterr().out
    assert told.startswith("Low Road, Part 1\nbars")
    assert "“Low Road” is on the shelf: coach rehearse low-road" in told


def test_the_very_same_file_again_was_there_already(
    home: Path, tune: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(("import", str(tune))) == 0
    assert "already" not in capsys.readouterr().out
    assert main(("import", str(tune))) == 0
    assert "“Low Road” was on the shelf already" in capsys.readouterr().out
    assert [file.name for file in (home / "etudes").iterdir()] == ["low-road.abc"]


def test_a_name_that_looks_like_an_option_can_be_copied(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    dashed = tmp_path / "-low road.abc"
    dashed.write_text(TUNE.replace("T:Low Road\n", ""), encoding="utf-8")
    assert main(("import", str(dashed))) == 0
    told = capsys.readouterr().out
    command = shlex.split(told.rpartition("on the shelf: coach ")[2])
    assert command == ["rehearse", "--", "-low road"]
    assert main([*command[:1], "--plain", "--fast", "--bars=1", *command[1:]]) == 0


def test_a_twin_is_told_of_and_nothing_is_put_on_the_shelf(
    home: Path, tune: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    put_on_shelf(tune)
    other = tmp_path / "again.abc"
    other.write_text(TUNE.replace("D4", "E4"), encoding="utf-8")
    assert main(("import", str(other))) == 1
    said = capsys.readouterr().err
    assert "“Low Road” is on the shelf already (low-road.abc), with 0 runs." in said
    assert "--apart to keep it apart as “Low Road (2)”, or --replace" in said
    assert [file.name for file in (home / "etudes").iterdir()] == ["low-road.abc"]
    assert main(("import", str(other), "--apart")) == 0
    assert "“Low Road (2)” is on the shelf" in capsys.readouterr().out
    third = tmp_path / "third.abc"
    third.write_text(TUNE.replace("D4", "F4"), encoding="utf-8")
    assert main(("import", str(third), "--replace")) == 0
    assert "F4" in (home / "etudes" / "low-road.abc").read_text(encoding="utf-8")


def test_what_came_with_the_coach_is_not_replaced(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    own = tmp_path / "my tide.musicxml"
    shutil.copy(shipped("etudes") / "tide.musicxml", own)
    assert main(("import", str(own), "--replace")) == 1
    assert "“Tide” came with the coach" in capsys.readouterr().err


def test_a_file_that_is_not_there_is_one_sentence(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(("import", "nowhere.abc")) == 1
    assert "nowhere.abc" in capsys.readouterr().err
