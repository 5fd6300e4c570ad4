"""``coach import``: what it says, and what it asks for where the shelf has it."""

from __future__ import annotations

import argparse
import shlex
import shutil
from contextlib import closing
from pathlib import Path

import pytest

from coach.cli import main
from coach.config import shipped
from coach.edges.scores.etude_shelf import find_etude
from coach.edges.scores.own_etudes import throw_away
from coach.errors import ScoreError
from coach.wiring.studio.real_studio import RealStudio
from coach.wiring.taking_in import put_on_shelf
from tests.edges.scores.score_samples import measures, score, xml_note

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
    assert "“Low Road” is on the shelf: coach rehearse low-road" in told.splitlines()
    main(("player", "--as", "Kim", "--age", "30"))
    main(("import", str(tune), "--as", "Kim"))
    said = capsys.readouterr().out.splitlines()
    assert said[-1].endswith(": coach rehearse low-road --as Kim")


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


def test_another_of_its_title_is_told_of_and_may_be_replaced(
    home: Path, tune: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A bar that was forgotten makes another etude of it."""
    put_on_shelf(tune)
    other = tmp_path / "again.abc"
    other.write_text(TUNE.rstrip("]\n") + "E4|]\n", encoding="utf-8")
    assert main(("import", str(other))) == 0
    told = capsys.readouterr().out
    assert "Another “Low Road” is on the shelf (low-road.abc, 0 runs)" in told
    assert "“Low Road” is on the shelf: coach rehearse again" in told
    (home / "etudes" / "again.abc").unlink()
    assert main(("import", str(other), "--replace")) == 0
    assert "Another" not in capsys.readouterr().out
    (only,) = (home / "etudes").iterdir()
    assert "E4" in only.read_text(encoding="utf-8")


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


@pytest.fixture
def band(tmp_path: Path) -> Path:
    """A score of three parts in a file."""
    file = tmp_path / "band.musicxml"
    lines = [measures(xml_note(pitch, 96)) for pitch in ("G4", "C3", "F3")]
    file.write_text(score(*lines, names=("Flute", "Tuba", "Trombone 1")))
    return file


def test_the_part_that_is_named_is_the_one_on_the_shelf(
    home: Path, band: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(("import", str(band))) == 0
    assert "3 parts; this is Trombone 1. Choose with --part:" in one_line(capsys)
    assert main(("import", str(band), "--part", "flu")) == 0
    assert "Flute" in one_line(capsys)
    assert main(("import", str(band))) == 0
    assert main(("plan", "band", "--check")) == 0
    told = one_line(capsys)
    assert "Flute" in told
    assert "--part" not in told
    assert main(("plan", "band", "--check", "--part", "2")) == 0
    assert "Tuba" in one_line(capsys)
    with closing(RealStudio(argparse.Namespace(silent=True))) as studio:
        kept = str(home / "etudes" / "band.musicxml")
        assert studio.list_parts(kept) == ["Flute"]
        assert studio.open_part(kept).name == "Flute"


def test_a_tune_of_a_book_is_found_by_its_own_title(home: Path, tmp_path: Path) -> None:
    book = tmp_path / "book.abc"
    book.write_text(f"{TUNE}\n{TUNE.replace('X:1', 'X:2').replace('Low', 'High')}")
    assert main(("import", str(book), "--part", "2")) == 0
    assert find_etude("high road") == home / "etudes" / "book.abc"
    with pytest.raises(ScoreError):
        find_etude("low road")


def test_a_part_that_is_not_there_puts_nothing_on_the_shelf(
    home: Path, band: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(("import", str(band), "--part", "9")) == 1
    assert "no part “9” Its parts: 1 Flute" in capsys.readouterr().err.replace(".", "")
    assert not (home / "etudes").exists()


def test_where_the_named_part_is_gone_from_the_page_one_is_guessed(
    home: Path, band: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(("import", str(band), "--part", "Tuba")) == 0
    kept = home / "etudes" / "band.musicxml"
    kept.write_text(kept.read_text().replace("Tuba", "Bassoon"))
    capsys.readouterr()
    assert main(("plan", "band", "--check")) == 0
    assert "3 parts; this is Trombone 1." in one_line(capsys)
    with closing(RealStudio(argparse.Namespace(silent=True))) as studio:
        assert len(studio.list_parts(str(kept))) == 3


def test_another_score_of_that_name_begins_with_no_part_of_its_own(
    home: Path, band: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(("import", str(band), "--part", "Tuba")) == 0
    throw_away(home / "etudes" / "band.musicxml")
    band.write_text(band.read_text().replace("<octave>4", "<octave>5"))
    assert main(("import", str(band))) == 0
    capsys.readouterr()
    assert main(("plan", "band", "--check")) == 0
    assert "3 parts; this is Trombone 1." in one_line(capsys)


def one_line(capsys: pytest.CaptureFixture[str]) -> str:
    """Give what was printed, without its line ends."""
    return " ".join(capsys.readouterr().out.split())
