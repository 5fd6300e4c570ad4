"""``coach plan --check``: what was read of a page, in words and for scripts."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from coach.cli import main

TUNE = (
    'X:1\nT:Low Road\nM:4/4\nL:1/4\nQ:"Allegro"\nK:Bb clef=bass\n'
    "F,|:B,,2{D,}!trill!C,2|1D,4:|2[M:3/4][K:G clef=tenor]E,3|]\n"
)


@pytest.fixture
def tune(tmp_path: Path) -> str:
    """A tune with a pickup, a repeat with endings and a guessed tempo."""
    file = tmp_path / "low-road.abc"
    file.write_text(TUNE, encoding="utf-8")
    return str(file)


def test_it_tells_what_to_compare_with_the_paper(
    tune: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(("plan", tune, "--check")) == 0
    told = capsys.readouterr().out
    for line in (
        "bars      3, after a pickup; the last is bar 3",
        "key       B flat major, 2 flats, 1 sharp from bar 3",
        "clef      bass, tenor from bar 3",
        "metre     4/4, 3/4 from bar 3",
        "order     bars 0 to 2, then 1, then 3",
        "tempo     quarter = 126 (guessed)",
        "left out  A trill counts as one long note: bar 1.",
    ):
        assert line in told


def test_it_tells_scripts_the_same(
    tune: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(("plan", tune, "--check", "--json")) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["schema"] == 1
    assert told["etude"]["title"] == "Low Road"
    assert (told["first_bar"], told["last_bar"], told["bars"]) == (0, 3, 3)
    assert told["graces"] == {"notes": 2, "bars": [1]}
    assert told["keys"] == [{"bar": 0, "fifths": -2}, {"bar": 3, "fifths": 1}]
    assert told["clefs"] == [{"bar": 0, "clef": "bass"}, {"bar": 3, "clef": "tenor"}]
    assert told["metres"] == [{"bar": 0, "metre": "4/4"}, {"bar": 3, "metre": "3/4"}]
    assert told["order"][1] == {"from_bar": 1, "to_bar": 1}
    assert told["tempo"] == {
        "bpm": 126.0,
        "beat_quarters": 1.0,
        "guessed": True,
        "changes": [],
    }
    assert told["range"] == {"lowest": "Bb2", "highest": "F3"}
    assert told["fit"] == ""
    assert told["left_out"] == ["A trill counts as one long note: bar 1."]
    assert any("guess" in text for text in told["guessed"])


def test_a_book_of_tunes_says_which_one_it_is_and_how_to_choose(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "book.abc"
    file.write_text(f"{TUNE}\nX:2\nT:High Road\nL:1/4\nK:F\nF4|\n\nX:3\nK:C\nC4|\n")
    choose = "this is Low Road. Choose with --part: 1 Low Road, 2 High Road, 3 Tune 3."
    for command in ("plan", "import"):
        words = ("plan", str(file), "--check") if command == "plan" else (command, file)
        assert main(tuple(map(str, words))) == 0
        told = capsys.readouterr().out
        assert told.startswith("Low Road\nbars"), told
        assert f"look at   The score has 3 tunes; {choose}" in told
    assert main(("plan", str(file))) == 0
    assert f"! The score has 3 tunes; {choose}" in capsys.readouterr().out
    assert main(("plan", str(file), "--check", "--part", "high")) == 0
    assert capsys.readouterr().out.startswith("High Road\n")
    assert main(("plan", str(file), "--part", "9")) == 1
    assert "has no tune “9”. Its tunes: 1 Low Road" in capsys.readouterr().err


def test_what_does_not_fit_the_instrument_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "high.abc"
    file.write_text("X:1\nT:High\nL:1/4\nK:C\nc''''4|]\n", encoding="utf-8")
    assert main(("plan", str(file), "--check", "--json")) == 0
    assert json.loads(capsys.readouterr().out)["fit"]
