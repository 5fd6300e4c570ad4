"""``coach write``: the player's editor opens, and what was typed is told."""

from __future__ import annotations

import shlex
import sys
from pathlib import Path

import pytest

from coach.cli import main
from coach.edges.scores.own_etudes import own_path, save_own

GOOD = "X:1\nT:Low Road\nM:4/4\nL:1/4\nQ:1/4=80\nK:Bb clef=bass\nB,,2C,2|D,4|]\n"
HERE = "coach.commands.write_command"


@pytest.fixture
def editor(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Path:
    """An editor that puts what lies in a file in place of what it is given."""
    typed = tmp_path / "typed.abc"
    program = tmp_path / "editor.py"
    program.write_text(
        f"import shutil, sys\nshutil.copy({str(typed)!r}, sys.argv[1])\n",
        encoding="utf-8",
    )
    monkeypatch.delenv("VISUAL", raising=False)
    monkeypatch.setenv("EDITOR", shlex.join([sys.executable, str(program)]))
    return typed


def test_what_was_typed_is_told_to_compare_with_the_paper(
    editor: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    editor.write_text(GOOD, encoding="utf-8")
    assert main(("write", "low-road")) == 0
    told = capsys.readouterr().out.splitlines()
    assert told[0].startswith("Low Road")
    assert "bars      2, no pickup; the last is bar 2" in told
    assert "tempo     quarter = 80" in told
    assert own_path("low-road").read_text(encoding="utf-8") == GOOD


@pytest.mark.parametrize(
    ("tune", "says"),
    [
        (GOOD.replace("C,2", "C#2"), "Line 7, column 6 (bar 1)"),
        (GOOD[: GOOD.index("B,,2C")], "There are no notes yet."),
        ("", "There are no notes yet."),
    ],
)
def test_a_slip_is_named_and_the_text_is_saved(
    editor: Path, capsys: pytest.CaptureFixture[str], tune: str, says: str
) -> None:
    editor.write_text(tune, encoding="utf-8")
    assert main(("write", "low-road")) == 1
    said = capsys.readouterr().err
    assert "low-road.abc” is saved." in said
    assert says in said
    assert own_path("low-road").read_text(encoding="utf-8") == tune


def test_an_editor_that_fails_or_is_not_there_is_named(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.delenv("VISUAL", raising=False)
    for command, says in (
        (shlex.join([sys.executable, "-c", "raise SystemExit(3)"]), "ended with 3"),
        ("no-such-editor-anywhere", "cannot be started"),
        ("'", "makes no sense as a command"),
    ):
        monkeypatch.setenv("EDITOR", command)
        assert main(("write", "low-road")) == 1
        assert says in capsys.readouterr().err


def test_a_new_name_keeps_the_etude(capsys: pytest.CaptureFixture[str]) -> None:
    save_own(own_path("old"), GOOD)
    assert main(("write", "old", "--rename", "new")) == 0
    assert "“old” is now “new”." in capsys.readouterr().out
    assert own_path("new").read_text(encoding="utf-8") == GOOD
    assert main(("write", "old", "--rename", "new")) == 1
    assert "There is no own etude “old”." in capsys.readouterr().err


def test_a_name_that_no_file_can_have_is_refused(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert main(("write", "../up")) == 1
    assert "cannot be the name of an etude" in capsys.readouterr().err
