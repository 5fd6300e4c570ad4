"""``coach log`` and ``--as``, as a player types them."""

from __future__ import annotations

import csv
import io
import json
import os
from dataclasses import replace
from pathlib import Path

import pytest

from coach.cli import main
from coach.plain.run_table import as_text
from coach.planning.edits import Edits
from coach.score.etude_key import EtudeKey, key_of
from coach.wiring.moved_etudes import open_moved
from coach.wiring.open_rehearsal import open_log
from tests.edges.log.kept_runs import OUT, TROMBONE, finish, run


def said(capsys: pytest.CaptureFixture[str], *words: str, code: int = 0) -> str:
    assert main(words) == code
    told = capsys.readouterr()
    return told.err if code else told.out


def test_cells_that_a_spreadsheet_would_take_for_formulas_are_text() -> None:
    """OWASP, CSV Injection: ``= + - @``, tab and line breaks at the start of a cell
    (owasp.org/www-community/attacks/CSV_Injection)."""
    for sign in "=+-@\t\r\n":
        assert as_text(f"{sign}1+1|cmd") == f"'{sign}1+1|cmd"
    assert as_text("a=b") == "a=b"
    assert as_text(-2.5) == -2.5


def test_runs_are_written_as_a_safe_table(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    notes = ['=HYPERLINK("x")', "-2", "@me", 'say "ré", twice\nand on']
    with open_log() as log:
        for minute, note in enumerate(notes):
            finish(log, run(minute, etude="+Etude"), OUT, note=note)
    table = said(capsys, "log", "--csv", "-")
    rows = list(csv.DictReader(io.StringIO(table, newline="")))
    assert [row["note"] for row in rows] == [
        *('\'=HYPERLINK("x")', "'-2", "'@me", 'say "ré", twice\nand on')
    ]
    assert rows[0]["etude"] == "'+Etude"
    said(capsys, "log", "--csv", str(tmp_path / "runs.csv"))
    assert (tmp_path / "runs.csv").read_bytes().decode() == table
    assert [path.name for path in tmp_path.glob("runs*")] == ["runs.csv"]


def test_runs_of_an_etude_whose_file_is_gone_are_listed_by_its_title(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with open_log() as log:
        finish(log, run(etude="Über den Hügel"), OUT)
        finish(log, run(1, etude="Tide"), OUT)
    listed = said(capsys, "log", "uber den hugel")
    assert listed.count("\n") == 1
    assert "Über den Hügel" in listed
    assert said(capsys, "log", "uber den hugel", "--strike", "1").startswith("Run 1")
    other = said(capsys, "log", "uber den hugel", "--strike", "2", code=1)
    assert "another etude" in other
    assert "There is no etude “hugel”" in said(capsys, "log", "hugel", code=1)
    assert "There is no etude “?”" in said(capsys, "log", "?", code=1)


def test_a_title_of_runs_is_no_short_name_of_another_etude(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with open_log() as log:
        finish(log, run(etude="Long"), OUT)
    assert " Long" in said(capsys, "log", "long")
    assert "No runs" in said(capsys, "log", "long r")


def test_a_table_that_cannot_be_written_is_told_of(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    there = str(tmp_path / "no" / "runs.csv")
    assert "cannot be written" in said(capsys, "log", "--csv", there, code=1)


@pytest.mark.parametrize("option", ["--csv", "--export"])
def test_what_is_written_goes_through_a_link_and_leaves_it(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, option: str
) -> None:
    goal, link = tmp_path / "goal", tmp_path / "link"
    goal.write_text("old")
    link.symlink_to(goal)
    said(capsys, "log", option, str(link))
    assert link.is_symlink()
    assert goal.read_text() not in {"", "old"}
    assert not list(tmp_path.glob("*.new"))


@pytest.mark.parametrize("option", ["--csv", "--export"])
def test_no_file_takes_the_place_of_a_pipe_or_a_device(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, option: str
) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    said(capsys, "log", option, str(pipe))
    assert pipe.is_fifo()
    assert os.read(reader, 4)
    os.close(reader)


@pytest.mark.parametrize("option", ["--csv", "--export", "--import"])
def test_a_file_without_a_name_is_refused(
    option: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["log", option, ""]) == 1
    told = capsys.readouterr()
    assert told.out == ""
    assert "Name another file." in told.err


def test_a_number_beyond_all_numbers_is_of_no_run(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(["log", "--not-me", "9" * 30]) == 1
    assert "There is no run 999" in capsys.readouterr().err


def test_a_day_that_is_still_to_come_has_no_runs_and_that_is_said(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with open_log() as log:
        finish(log, run())
    told = said(capsys, "log", "--since", "2999-01-01")
    assert told == "2999-01-01 is still to come: no runs since then.\n"


def test_one_who_has_no_runs_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert said(capsys, "log") == "No runs yet. Rehearse one: coach\n"
    assert said(capsys, "log", "--as", "Bob") == (
        "No runs of Bob yet. Rehearse one: coach\n"
    )


def test_of_many_runs_the_newest_are_listed_in_lines_and_all_for_scripts(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with open_log() as log:
        for minute in range(103):
            log.begin(run(minute, etude=f"Etude {minute}"))
    lines = said(capsys, "log").splitlines()
    assert (lines[0], len(lines)) == ("3 older: coach log --all", 101)
    assert "Etude 3," in lines[1]
    assert len(said(capsys, "log", "--all").splitlines()) == 103
    assert len(said(capsys, "log", "--since", "2025-01-01").splitlines()) == 103
    assert len(json.loads(said(capsys, "log", "--json"))) == 103
    assert said(capsys, "log", "--csv", "-").count("Etude") == 103
    assert said(capsys, "log", "--export", "-").count("Etude") == 103


def test_breaths_planned_for_an_etude_not_yet_rehearsed_go_along(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    etude = tmp_path / "field.abc"
    etude.write_text("X:1\nT:Field\nM:4/4\nL:1/4\nK:C\nC,D,E,F,|G,A,B,C|]\n")
    key = key_of(open_moved(etude))
    asked = Edits(dial=0.75)
    with open_log() as log:
        finish(log, run())
        log.save_edits(key, asked)
        log.save_edits(EtudeKey("Tide", "f39e"), asked)

    def edits_with(*words: str) -> list[str]:
        lines = said(capsys, "log", *words, "--export", "-").splitlines()[1:]
        told = [json.loads(line) for line in lines]
        return [one["etude"] for one in told if one["kind"] == "edits"]

    assert edits_with() == ["Field", "Tide"]
    assert edits_with(str(etude)) == ["Field"]
    assert edits_with("--since", "2020-01-01") == ["Field", "Tide"]
    assert edits_with("--since", "2999-01-01") == edits_with("River") == []
    assert edits_with("--as", "Ann") == []
    file = str(tmp_path / "runs.jsonl")
    said(capsys, "log", "--export", file)
    monkeypatch.setenv("COACH_HOME", str(tmp_path / "other"))
    assert "insisted on in 2 etudes" in said(capsys, "log", "--import", file)
    with open_log() as log:
        assert log.read_edits(key) == asked


def test_a_log_goes_to_another_home_and_comes_once(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_log() as log:
        finish(log, run(), OUT, note="lips")
        finish(log, run(1, how=replace(TROMBONE, player="Ann")))
    mine = json.loads(said(capsys, "log", "--json"))
    file = str(tmp_path / "runs.jsonl")
    assert said(capsys, "log", "--export", file) == ""
    assert said(capsys, "log", "--export", "-") == Path(file).read_text()
    monkeypatch.setenv("COACH_HOME", str(tmp_path / "other"))
    told = said(capsys, "log", "--import", file)
    assert told == "Taken in: 1 of yours, 1 of Ann; 0 were here already.\n"
    assert json.loads(said(capsys, "log", "--json")) == mine
    with Path(file).open() as piped:
        monkeypatch.setattr("sys.stdin", piped)
        again = said(capsys, "log", "--import", "-")
        assert not piped.closed
    assert again == "Taken in: nothing; 2 were here already.\n"
    assert "Ann: River" in said(capsys, "log", "--as", "Ann")
    assert said(capsys, "player", "--list").splitlines()[1:] == ["Ann"]


def test_what_comes_by_a_pipe_and_is_no_log_is_refused(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "song").write_bytes(b"la\xff la")
    with (tmp_path / "song").open() as piped:
        monkeypatch.setattr("sys.stdin", piped)
        assert main(["log", "--import", "-"]) == 1
    assert "Standard input is no log" in capsys.readouterr().err
    monkeypatch.setattr("sys.stdin", None)
    assert main(["log", "--import", "-"]) == 1
    assert "Standard input is closed. Name a file." in capsys.readouterr().err


def test_a_run_can_be_set_aside_and_count_again(
    capsys: pytest.CaptureFixture[str],
) -> None:
    with open_log() as log:
        finish(log, run())
    assert said(capsys, "log").startswith("run 1 ")
    said(capsys, "log", "--not-me", "1")
    assert said(capsys, "log").rstrip().endswith("(not-me)")
    said(capsys, "log", "--strike", "1")
    assert said(capsys, "log").rstrip().endswith("(struck-out)")
    assert said(capsys, "log", "--count-again", "1") == "Run 1 counts again.\n"
    assert "(" not in said(capsys, "log")
    assert "no run 9" in said(capsys, "log", "--not-me", "9", code=1)


def test_a_run_without_a_word_gets_it_later(
    capsys: pytest.CaptureFixture[str],
) -> None:
    said(capsys, "rehearse", "tide", "--plain", "--fast", "--bars", "1-1")
    hint = "To say how it was: coach log --clean 1, or --not-clean 1"
    assert hint in said(capsys, "log")
    told = said(capsys, "log", "--clean", "1")
    assert told == "Run 1 was clean, by your word.\n"
    listed = said(capsys, "log")
    assert "no word" not in listed
    assert hint not in listed
    assert "with no word on it" not in said(capsys, "review", "tide")
    said(capsys, "log", "--not-clean", "1")
    assert json.loads(said(capsys, "log", "--json"))[0]["clean"] is False
    assert "no run 9" in said(capsys, "log", "--clean", "9", code=1)


def test_only_a_run_of_what_was_named_is_set_aside(
    capsys: pytest.CaptureFixture[str],
) -> None:
    said(capsys, "rehearse", "tide", "--plain", "--fast", "--bars", "1-1")
    said(capsys, "player", "--as", "Kim", "--capacity-l", "2.1")
    another = "another's, or of another etude"
    assert another in said(capsys, "log", "mill-wheel", "--strike", "1", code=1)
    assert another in said(capsys, "log", "--as", "Kim", "--strike", "1", code=1)
    assert "no etude" in said(capsys, "log", "tyde", "--strike", "1", code=1)
    assert "(" not in said(capsys, "log")
    said(capsys, "log", "Tide", "--strike", "1")
    assert "(struck-out)" in said(capsys, "log")


def test_a_child_plays_on_the_same_laptop(capsys: pytest.CaptureFixture[str]) -> None:
    """Settings, advice and runs of the two never mix."""
    told = said(capsys, "rehearse", "tide", "--plain", "--as", "Kim", code=1)
    assert "There is no player “Kim”" in told
    said(capsys, "player", "--as", "Kim", "--capacity-l", "2.1")
    assert "Player: Kim" in said(capsys, "player", "--as", "kim")
    assert json.loads(said(capsys, "player", "--json"))["measured_capacity_l"] is None
    short = ("rehearse", "tide", "--plain", "--fast", "--bars", "1-4")
    said(capsys, *short)
    said(capsys, *short, "--as", "kim", "--word", "new  mouthpiece")
    mine, kims = json.loads(said(capsys, "log", "--json"))
    assert (mine["player"], mine["instrument"]) == ("", "tenor-trombone")
    assert (kims["player"], kims["capacity_l"]) == ("Kim", 2.1)
    assert kims["word"] == "new mouthpiece"
    for name in ((), ("--as", "Kim")):
        review = json.loads(said(capsys, "review", "tide", "--json", *name))
        assert review["runs"] == (0 if name else 1)
        assert [way["word"] for way in review["otherwise"]] == (
            ["new mouthpiece"] if name else []
        )
    told = said(capsys, "review", "tide", "--as", "Kim")
    assert "Beside these, held against their like alone: 1 run (new mouthpiece)" in told
    told = said(capsys, "review", "tide", "--as", "Kim", "--word", "new mouthpiece")
    assert told.startswith("Tide: 1 run, 1 with no word on it\n")
    assert "Beside" not in told


def test_without_an_etude_all_that_was_played_is_reviewed_and_today_laid_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert said(capsys, "review").startswith("No runs yet.\n")
    elsewhere = tmp_path / "elsewhere.abc"
    elsewhere.write_text("X:1\nT:Gone\nM:4/4\nL:1/4\nK:C bass\nC D E F|\n")
    said(capsys, "rehearse", str(elsewhere), "--plain", "--fast")
    elsewhere.unlink()
    assert said(capsys, "review").startswith("No runs of what is on the shelf.\n")
    said(capsys, "rehearse", "tide", "--plain", "--fast", "--bars", "1-4")
    told = said(capsys, "review").splitlines()
    assert told[0] == ("Tide: 1 run, 1 with no word on it; no clean run yet; goal 58")
    assert "20 minutes today:" in told
    laid = json.loads(said(capsys, "review", "--json"))
    assert [one["etude"] for one in laid["etudes"]] == ["Tide"]
    assert laid["today"]["turns"][0]["etude"] == "Tide"
