"""Finding etudes by name or path, and taking new ones in."""

from __future__ import annotations

import errno
from collections.abc import Callable
from pathlib import Path

import pytest

from coach.config import shipped
from coach.edges.scores.etude_shelf import (
    find_etude,
    import_etude,
    list_etudes,
    player_folder,
)
from coach.errors import ScoreError
from tests.edges.scores.score_samples import WHOLE, page, xml_note

STUDY = page(WHOLE)
OTHER = page(xml_note("C3", 48))
Put = Callable[[str, str], Path]


@pytest.fixture
def put(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Put:
    """Put scores on an empty player's shelf."""
    monkeypatch.setenv("COACH_HOME", str(tmp_path / "home"))

    def put_one(name: str, content: str) -> Path:
        player_folder().mkdir(parents=True, exist_ok=True)
        path = player_folder() / name
        path.write_text(content)
        return path

    return put_one


def test_the_shelf_has_the_shipped_etudes_and_then_the_players_own(put: Put) -> None:
    ours = sorted(shipped("etudes").glob("*.musicxml"))
    assert len(ours) >= 8
    assert list_etudes() == ours
    own = put("own.krn", "x")
    put("notes.txt", "x")
    put(".hidden.mid", "x")
    assert list_etudes() == [*ours, own]


def test_an_etude_is_found_by_name_in_any_case(put: Put) -> None:
    first = list_etudes()[0]
    assert find_etude(first.stem) == first
    assert find_etude(first.stem.upper()) == first
    assert find_etude(first.name) == first
    own = put("Own Study.mxl", "x")
    assert find_etude("own study") == own


def test_an_etude_is_found_by_what_the_shelf_calls_it(put: Put) -> None:
    assert find_etude("Long River") == find_etude("long_river") == list_etudes()[3]
    own = put("7.abc", "X:1\nT:Übung Nº 7\nM:4/4\nL:1/4\nK:C\nCDEF|]\n")
    put("broken.abc", "X:1")
    for title in ("Übung Nº 7", "u\u0308BUNG nº 7", "ubung no 7"):
        assert find_etude(title) == own
    with pytest.raises(ScoreError, match="There is no etude “!!”"):
        find_etude("!!")


def test_of_several_etudes_of_one_title_the_files_are_named(put: Put) -> None:
    tune = "X:1\nT:Study\nM:4/4\nL:1/4\nK:C\n{}|]\n"
    put("one.abc", tune.format("CDEF"))
    put("two.abc", tune.format("FEDC"))
    with pytest.raises(ScoreError, match=r"Several .* one, two\."):
        find_etude("study")


def test_a_beginning_or_a_word_that_one_etude_alone_has_will_do(put: Put) -> None:
    own = put("7.abc", "X:1\nT:Attic Study\nM:4/4\nL:1/4\nK:C\nCDEF|]\n")
    for short in ("attic", "Att", "study", "attic st"):
        assert find_etude(short) == own
    assert find_etude("long") == list_etudes()[3]
    assert find_etude("valley").stem == "round-the-valley"
    put("study.abc", "X:1\nT:Tall Order\nM:4/4\nL:1/4\nK:C\nCDEF|]\n")
    assert find_etude("study").stem == "study"
    for no_name in ("./attic", "attic.abc", "tic", "val"):
        with pytest.raises(ScoreError, match="There is no etude"):
            find_etude(no_name)
    with pytest.raises(ScoreError, match="There is no etude"):
        find_etude("attic", is_in_full=True)


def test_of_several_etudes_that_begin_alike_each_is_named(put: Put) -> None:
    tune = "X:1\nT:{}\nM:4/4\nL:1/4\nK:C\nCDEF|]\n"
    put("7.abc", tune.format("Attic Study"))
    put("attic-window.abc", tune.format("Attic Window"))
    with pytest.raises(
        ScoreError,
        match=r"Several etudes begin with “attic”: 7 \(“Attic Study”\), attic-window\.",
    ):
        find_etude("attic")
    with pytest.raises(
        ScoreError,
        match=r"have “the” in their names: above-the-trees, round-the-valley\. Give",
    ):
        find_etude("the")
    for number in range(10):
        put(f"air-{number}.abc", "x")
    with pytest.raises(ScoreError, match=r"air-5 and 4 more\. Give"):
        find_etude("air")


def test_the_players_own_etude_wins_over_a_shipped_one(put: Put) -> None:
    own = put(list_etudes()[0].name, STUDY)
    assert find_etude(own.name) == own
    assert find_etude(own.stem) == own
    assert find_etude(own.stem[:5]) == own


def test_a_path_wins_over_a_name(put: Put, monkeypatch: pytest.MonkeyPatch) -> None:
    put("study.xml", STUDY)
    here = player_folder().parent
    (here / "study.xml").write_text(OTHER)
    monkeypatch.chdir(here)
    assert find_etude("study.xml").read_text() == OTHER
    assert find_etude(str(here / "study.xml")).read_text() == OTHER
    assert find_etude("study") == player_folder() / "study.xml"


@pytest.mark.usefixtures("put")
def test_a_name_that_is_almost_right_is_answered_with_close_ones() -> None:
    right = list_etudes()[0].stem
    with pytest.raises(ScoreError, match=f"Did you mean .*{right}"):
        find_etude(right[:-2] + "x")
    with pytest.raises(ScoreError, match=f"Did you mean .*{right}"):
        find_etude(right[2:6])


@pytest.mark.usefixtures("put")
@pytest.mark.parametrize("name", ["", "zzzzzz", "\0", "\x1b[31m"])
def test_a_name_that_is_nothing_is_answered_with_what_there_is(name: str) -> None:
    with pytest.raises(ScoreError, match=list_etudes()[0].stem) as refused:
        find_etude(name)
    assert "\x1b" not in str(refused.value)


def test_a_score_is_taken_in_under_its_name(put: Put, tmp_path: Path) -> None:
    fresh = tmp_path / "fresh.musicxml"
    fresh.write_text(STUDY)
    kept = import_etude(fresh)
    assert kept == player_folder() / "fresh.musicxml"
    assert kept.read_text() == STUDY
    assert list(player_folder().iterdir()) == [kept]
    # The same score again is the same etude; another one of that name is not.
    assert import_etude(fresh) == kept
    put("taken.musicxml", OTHER)
    taken = tmp_path / "taken.musicxml"
    taken.write_text(STUDY)
    assert import_etude(taken).name == "taken-2.musicxml"


@pytest.mark.usefixtures("put")
def test_a_file_that_cannot_be_read_is_not_taken_in(tmp_path: Path) -> None:
    bad = tmp_path / "bad.musicxml"
    bad.write_text("<score-partwise>")
    with pytest.raises(ScoreError, match="breaks off"):
        import_etude(bad)
    assert not player_folder().exists()


@pytest.mark.usefixtures("put")
@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EDQUOT])
def test_on_a_full_disk_nothing_half_copied_is_left(
    number: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fresh = tmp_path / "fresh.musicxml"
    fresh.write_text(STUDY)
    import_etude(fresh)
    before = sorted(player_folder().iterdir())

    def fill(_path: Path, _goal: Path) -> None:
        raise OSError(number, "No room")

    monkeypatch.setattr(Path, "replace", fill)
    with pytest.raises(ScoreError, match=r"No room\. Make room on the disk\.$"):
        import_etude(fresh)
    assert sorted(player_folder().iterdir()) == before


@pytest.mark.usefixtures("put")
def test_a_shelf_that_cannot_be_written_is_named(tmp_path: Path) -> None:
    fresh = tmp_path / "fresh.musicxml"
    fresh.write_text(STUDY)
    player_folder().parent.mkdir(parents=True)
    player_folder().write_text("a file where the folder should be")
    with pytest.raises(ScoreError, match=r"cannot be copied.*Check the folder's"):
        import_etude(fresh)
    assert find_etude(list_etudes()[0].stem) == list_etudes()[0]
