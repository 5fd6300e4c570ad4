"""``coach plan --check``: what was read of a page, in words and for scripts."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from coach.cli import main

TUNE = (
    'X:1\nT:Low Road\nM:4/4\nL:1/4\nQ:"Allegro"\nK:Bb clef=bass\n'
    "F,|:B,,2!trill!C,2|1D,4:|2[M:3/4]E,3|]\n"
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
    assert told["metres"] == [{"bar": 0, "metre": "4/4"}, {"bar": 3, "metre": "3/4"}]
    assert told["order"][1] == {"from_bar": 1, "to_bar": 1}
    assert told["tempo"] == {"bpm": 126.0, "beat_quarters": 1.0, "guessed": True}
    assert told["range"] == {"lowest": "Bb2", "highest": "F3"}
    assert told["fit"] == ""
    assert told["left_out"] == ["A trill counts as one long note: bar 1."]
    assert any("guess" in text for text in told["guessed"])


def test_what_does_not_fit_the_instrument_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "high.abc"
    file.write_text("X:1\nT:High\nL:1/4\nK:C\nc''''4|]\n", encoding="utf-8")
    assert main(("plan", str(file), "--check", "--json")) == 0
    assert json.loads(capsys.readouterr().out)["fit"]
