"""Where scores lie that were rehearsed by their path."""

from __future__ import annotations

from pathlib import Path

import pytest

from coach.config import shipped
from coach.edges.scores.etude_shelf import find_etude, list_etudes
from coach.edges.scores.other_places import MOST_PLACES, keep_place, list_places
from coach.errors import ScoreError


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep things in a folder of this test's own."""
    own = tmp_path / "home"
    own.mkdir()
    monkeypatch.setenv("COACH_HOME", str(own))
    return own


def put(folder: Path, name: str) -> Path:
    """Put a file there; nothing reads it."""
    path = folder / name
    path.touch()
    return path


def test_the_newest_place_is_first_and_each_is_kept_once(tmp_path: Path) -> None:
    one, two = put(tmp_path, "one.abc"), put(tmp_path, "-two é.abc")
    for path in (one, two, one):
        keep_place(str(path), list_etudes())
    assert list_places() == [one, two]
    for k in range(MOST_PLACES):
        keep_place(str(put(tmp_path, f"more-{k}.abc")), list_etudes())
    assert len(list_places()) == MOST_PLACES
    assert one not in list_places()


def test_a_place_is_the_same_however_it_is_named(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = put(tmp_path, "one.abc")
    linked = tmp_path / "linked.abc"
    linked.symlink_to(path)
    monkeypatch.setenv("HOME", str(tmp_path))
    monkeypatch.chdir(tmp_path)
    for named in ("~/one.abc", "one.abc", "home/../one.abc", str(linked)):
        keep_place(named, list_etudes())
        assert list_places() == [path]


@pytest.mark.parametrize("named", ["tide", "", "no\0name", "/nowhere/at/all.abc", "."])
def test_what_is_no_path_of_a_file_is_not_kept(named: str) -> None:
    keep_place(named, list_etudes())
    assert list_places() == []


def test_what_is_on_the_shelf_is_not_kept() -> None:
    keep_place(str(shipped("etudes") / "tide.musicxml"), list_etudes())
    assert list_places() == []


@pytest.mark.parametrize("said", ["", "[]", '{"paths": 3}', '{"paths": [1, null]}'])
def test_a_damaged_file_is_as_good_as_none(
    tmp_path: Path, own_home: Path, said: str
) -> None:
    (own_home / "rehearsed.json").write_text(said)
    assert list_places() == []
    keep_place(str(put(tmp_path, "one.abc")), list_etudes())
    assert list_places() == [tmp_path / "one.abc"]


def test_where_nothing_can_be_written_nothing_is_said(
    tmp_path: Path, own_home: Path
) -> None:
    (own_home / "rehearsed.json").mkdir()
    keep_place(str(put(tmp_path, "one.abc")), list_etudes())
    assert list_places() == []


def test_what_was_rehearsed_elsewhere_is_found_by_its_title_and_its_file(
    tmp_path: Path,
) -> None:
    elsewhere = tmp_path / "folder" / "low-road.abc"
    elsewhere.parent.mkdir()
    elsewhere.write_text("X:1\nT:The Low Road\nM:4/4\nL:1/4\nK:C\nC4|D4|]\n")
    with pytest.raises(ScoreError, match="There is no etude"):
        find_etude("the low road")
    keep_place(str(elsewhere), list_etudes())
    assert find_etude("the low road") == elsewhere
    assert find_etude("Low Road") == elsewhere
    assert find_etude("tide").parent == shipped("etudes")
    elsewhere.unlink()
    for name in ("the low road", "Low Road"):
        with pytest.raises(ScoreError, match="There is no etude"):
            find_etude(name)
