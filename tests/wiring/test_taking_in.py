"""Two files of one etude: the second is kept apart, or takes the place of the first."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from coach.config import shipped
from coach.edges.scores import etude_shelf
from coach.edges.scores.given_words import given_part
from coach.edges.scores.own_etudes import own_path, rename_own
from coach.edges.scores.score_files import read_part
from coach.rehearsal.review.etude_tally import EtudeTally, Tallies
from coach.score.etude_key import key_of
from coach.wiring.taking_in import find_twin, put_on_shelf

pytestmark = pytest.mark.usefixtures("home")

NOTHING = Tallies()

TUNE = """X:1
T:Low Road
M:4/4
L:1/4
K:Bb clef=bass
B,2 C2|D4|
"""

OTHER_NOTES = TUNE.replace("D4", "E4")


def written(folder: Path, name: str, text: str) -> Path:
    """Write a tune into a file of a folder."""
    folder.mkdir(exist_ok=True)
    (folder / name).write_text(text, encoding="utf-8")
    return folder / name


@pytest.fixture
def first(tmp_path: Path) -> Path:
    """A tune on the shelf."""
    return put_on_shelf(written(tmp_path / "one", "low-road.abc", TUNE))


@pytest.fixture
def second(first: Path, tmp_path: Path) -> Path:
    """Another file of the same tune, a note of it mended."""
    del first
    return written(tmp_path / "two", "low-road.abc", OTHER_NOTES)


def test_an_etude_of_its_own_has_no_twin(tmp_path: Path) -> None:
    text = TUNE.replace("Low Road", "High Road")
    assert find_twin(written(tmp_path, "high.abc", text), NOTHING) is None


def test_the_second_file_of_an_etude_finds_the_first_with_its_runs(
    first: Path, second: Path
) -> None:
    when = datetime(2026, 1, 3, tzinfo=UTC)
    key = key_of(read_part(first)).fingerprint
    known = Tallies(by_key={key: EtudeTally(3, when, 72.0)})
    twin = find_twin(second, known)
    assert twin is not None
    assert (twin.title, twin.path, twin.runs) == ("Low Road", str(first), 3)
    assert twin.may_go
    assert twin.other_title == "Low Road (2)"


def test_one_with_a_bar_more_finds_its_namesake_and_shares_no_runs(
    first: Path, tmp_path: Path
) -> None:
    longer = written(tmp_path, "longer.abc", f"{TUNE.rstrip()}E4|\n")
    twin = find_twin(longer, NOTHING)
    assert twin is not None
    assert (twin.path, twin.shares_runs, twin.may_go) == (str(first), False, True)
    untitled = TUNE.replace("T:Low Road\n", "").rstrip() + "E4|\n"
    assert find_twin(written(tmp_path, "low road.abc", untitled), NOTHING) is None


def test_what_came_with_the_coach_is_nobodys_namesake(tmp_path: Path) -> None:
    text = TUNE.replace("Low Road", "Tide")
    assert find_twin(written(tmp_path, "tide.abc", text), NOTHING) is None


def test_what_came_with_the_coach_may_not_go(tmp_path: Path) -> None:
    own = tmp_path / "tide from a friend.musicxml"
    shutil.copy(shipped("etudes") / "tide.musicxml", own)
    twin = find_twin(own, NOTHING)
    assert twin is not None
    assert not twin.may_go


def test_kept_apart_it_has_a_title_and_runs_of_its_own(
    first: Path, second: Path
) -> None:
    kept = put_on_shelf(second, title="Low Road (2)")
    assert kept != first
    apart = read_part(kept)
    assert apart.title == "Low Road (2)"
    assert key_of(apart) != key_of(read_part(first))
    assert read_part(first).title == "Low Road"


def test_a_third_file_is_told_of_both(first: Path, second: Path) -> None:
    put_on_shelf(second, title="Low Road (2)")
    third = written(second.parent, "third.abc", TUNE.replace("B,2", "C2"))
    twin = find_twin(third, NOTHING)
    assert twin is not None
    assert twin.path == str(first)
    assert twin.other_title == "Low Road (3)"


def test_the_very_same_file_again_changes_nothing(first: Path, second: Path) -> None:
    assert find_twin(first, NOTHING) is None
    again = put_on_shelf(second, title="Low Road (2)")
    copy = written(second.parent, again.name, OTHER_NOTES)
    assert find_twin(copy, NOTHING) is None
    assert put_on_shelf(copy) == again
    assert read_part(again).title == "Low Road (2)"


def test_the_very_same_file_is_kept_twice_where_that_is_asked_for(first: Path) -> None:
    twin = find_twin(first, NOTHING, is_apart=True)
    assert twin is not None
    kept = put_on_shelf(first, title=twin.other_title)
    assert kept != first
    assert kept.read_bytes() == first.read_bytes()
    assert [read_part(one).title for one in (first, kept)] == [
        "Low Road",
        "Low Road (2)",
    ]


def test_in_the_place_of_the_first_it_takes_over_file_and_runs(
    first: Path, second: Path
) -> None:
    before = key_of(read_part(first))
    kept = put_on_shelf(second, replaces=str(first))
    assert kept == first
    assert first.read_text(encoding="utf-8") == OTHER_NOTES
    assert key_of(read_part(kept)) == before


def test_what_takes_its_place_has_the_part_that_is_named_for_it(
    first: Path, second: Path
) -> None:
    kept = put_on_shelf(second, replaces=str(first), part="1")
    assert given_part(kept) == "1"
    put_on_shelf(second, replaces=str(kept))
    assert given_part(kept) == "", "a page that takes its place may have other parts"


def test_in_another_format_the_first_goes_once_the_other_stands(
    first: Path,
) -> None:
    page = shipped("etudes") / "tide.musicxml"
    kept = put_on_shelf(page, replaces=str(first))
    assert kept.name == "low-road.musicxml"
    assert not first.exists()
    own = [file for file in etude_shelf.list_etudes() if file.parent == kept.parent]
    assert own == [kept]


def test_its_title_stays_with_it_under_another_name(second: Path) -> None:
    kept = put_on_shelf(second, title="Low Road (2)")
    new = own_path("by-the-river")
    rename_own(kept, new)
    assert read_part(new).title == "Low Road (2)"
    put_on_shelf(written(second.parent, kept.name, TUNE.replace("C2", "E2")))
    assert read_part(kept).title == "Low Road", "the name is free again"


def test_titles_in_a_file_that_is_damaged_are_as_good_as_none(
    home: Path, second: Path
) -> None:
    kept = put_on_shelf(second, title="Low Road (2)")
    (home / "given-titles.json").write_text("{", encoding="utf-8")
    assert read_part(kept).title == "Low Road"
