"""``coach print``: the marked part in a file that a browser prints."""

from __future__ import annotations

from pathlib import Path

import pytest

from coach.cli import main
from coach.config import player_home
from coach.errors import CoachError
from coach.plain.paper.marked_page import write_marked_page
from coach.wiring.plans.marked_part import keep_marked_part
from tests.dry_music import endless
from tests.hand_rehearsal import HandRehearsal, long

TUNE = (
    "X:1\nT:Low < Road & <Field\nM:4/4\nL:1/4\nQ:1/4=60\nK:Bb clef=bass\n"
    "|:F,2B,,2|C,4|D,4|F,3z:|B,,4|]\n"
)


@pytest.fixture
def tune(tmp_path: Path) -> str:
    """A tune with a repeat, a rest and a title that a browser would obey."""
    file = tmp_path / "low-road.abc"
    file.write_text(TUNE, encoding="utf-8")
    return str(file)


def test_the_marked_part_stands_in_one_file_for_the_stand(
    tune: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "low-road.html"
    assert main(("print", tune, "-o", str(file))) == 0
    assert capsys.readouterr().out == (
        f"The marked part is in {file}: open it in a browser and print it there.\n"
    )
    page = file.read_text(encoding="utf-8")
    assert "<h1>Low &lt; Road &amp; &lt;Field</h1>" in page
    assert "quarter = 60 · tenor trombone" in page
    assert "written out as it is played: " in page
    assert "V breathe full, or deep" in page
    assert page.count('class="note"') == 11
    assert "<Field" not in page
    assert "<script" not in page


def test_bars_and_tempo_are_those_that_are_asked_for(tune: str, tmp_path: Path) -> None:
    file = tmp_path / "part.html"
    asked = ("--bars", "1-2", "--tempo", "50", "-o", str(file))
    assert main(("print", tune, *asked)) == 0
    page = file.read_text(encoding="utf-8")
    assert "quarter = 50 · " in page
    assert page.count('class="note"') == 3


def test_a_part_of_several_pages_counts_them(tmp_path: Path) -> None:
    file = tmp_path / "river.html"
    assert main(("print", "long-river", "-o", str(file))) == 0
    page = file.read_text(encoding="utf-8")
    count = page.count("<section>")
    assert count > 1
    for k in range(count):
        assert f"page {k + 1} of {count}" in page
    assert page.count("<p>Long River</p>") == count - 1


@pytest.mark.parametrize("name", ["", "no such folder/part.html", ".", "part.pdf"])
def test_a_file_that_cannot_be_written_is_told_in_a_sentence(
    name: str, tune: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(("print", tune, "-o", name)) == 1
    assert capsys.readouterr().err.count("\n") == 1


def test_only_signs_that_stand_in_the_part_are_explained(tmp_path: Path) -> None:
    file = tmp_path / "slurs.abc"
    for slur, is_told in (("D,F,A,F,", True), ("(D,F,A,F,)", False)):
        tune = f"X:1\nT:Slurs\nM:4/4\nL:1/16\nQ:1/4=100\nK:C clef=bass\n{slur}z12|]\n"
        file.write_text(tune, encoding="utf-8")
        html = tmp_path / "slurs.html"
        assert main(("print", str(file), "-o", str(html))) == 0
        page = html.read_text(encoding="utf-8")
        assert ("dashed slur" in page) == is_told
        assert "V breathe full" not in page
        assert "left out to breathe" not in page


def test_where_nothing_gets_a_player_through_the_paper_says_where_it_runs_out() -> None:
    plan = HandRehearsal(endless()).conductor.plan
    dry = plan.breaths.dry_place(0)
    page = write_marked_page(plan, ["<svg></svg>"])
    assert f"the air runs out in bar {dry.bar}" in page
    enough = HandRehearsal(long()).conductor.plan
    assert "runs out" not in write_marked_page(enough, ["<svg></svg>"])


def test_a_part_marked_on_screen_lies_in_the_players_folder() -> None:
    plan = HandRehearsal(long()).conductor.plan
    file = keep_marked_part(plan, Path("somewhere/long river.abc"))
    assert file == player_home() / "marked-parts" / "long river.html"
    assert file.read_text(encoding="utf-8").count('class="note"') == len(
        plan.part.notes
    )


def test_where_no_folder_can_be_made_for_it_a_sentence_says_so() -> None:
    player_home().mkdir(parents=True, exist_ok=True)
    (player_home() / "marked-parts").write_text("in the way", encoding="utf-8")
    with pytest.raises(CoachError, match=r"cannot be made: .*\."):
        keep_marked_part(HandRehearsal(long()).conductor.plan, Path("river.abc"))


@pytest.fixture
def long_run(tmp_path: Path) -> str:
    """Sixteenths without end, for which notes have to be left out."""
    file = tmp_path / "run.abc"
    bar = "FGAB cBAG FGAB cBAG|"
    head = "X:1\nT:Run\nM:4/4\nL:1/16\nQ:1/4=90\nK:C clef=bass octave=-1\n"
    file.write_text(head + bar * 12 + "F16|]\n", encoding="utf-8")
    return str(file)


def test_on_request_no_note_is_left_out_on_paper_either(
    long_run: str, tmp_path: Path
) -> None:
    file = tmp_path / "run.html"
    for asked, is_told in (((), True), (("--every-note",), False)):
        assert main(("print", long_run, *asked, "-o", str(file))) == 0
        told = "left out to breathe" in file.read_text(encoding="utf-8")
        assert told == is_told


def test_breaths_that_only_a_slow_tempo_asks_for_are_explained_on_paper(
    long_run: str, tmp_path: Path
) -> None:
    file = tmp_path / "run.html"
    for bpm, is_told in (("40", True), ("90", False)):
        assert main(("print", long_run, "--tempo", bpm, "-o", str(file))) == 0
        page = file.read_text(encoding="utf-8")
        assert ("only at 40: at 90 you play through" in page) == is_told
