"""The shelf: in which order etudes stand, and what is told of each."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from coach.config import shipped
from coach.errors import CoachError
from coach.rehearsal.review.etude_tally import EtudeTally, Tallies
from coach.wiring import real_shelf as shelf
from coach.wiring.taking_in import put_on_shelf


def rehearsed(day: int) -> EtudeTally:
    when = datetime(2026, 1, day, tzinfo=UTC)
    return EtudeTally(runs=3, last_run=when, clean_bpm=72.0, faults={12: 2})


def test_what_was_rehearsed_last_stands_first_then_the_easiest() -> None:
    known = Tallies(by_title={"Long River": rehearsed(2), "Tide": rehearsed(1)})
    titles = [etude.title for etude in shelf.list_etudes(known)]
    assert titles[:3] == ["Long River", "Tide", "Morning Air"]
    assert len(titles) == len(list(shipped("etudes").glob("*.musicxml")))


def test_an_etude_tells_its_range_tempo_and_trouble() -> None:
    (tide,) = [
        etude
        for etude in shelf.list_etudes(Tallies(by_title={"Tide": rehearsed(1)}))
        if etude.title == "Tide"
    ]
    assert (tide.lowest, tide.highest) == ("Db3", "Ab4")
    assert (tide.metre, tide.goal_bpm, tide.bars) == ("9/8", 58.0, 24)
    assert (tide.hardest, tide.best_clean_bpm) == ("bar 12", 72.0)
    assert tide.is_shipped


def test_a_score_of_ones_own_is_taken_in_and_a_bad_one_is_shown_with_its_problem(
    home: Path, tmp_path: Path
) -> None:
    own = tmp_path / "my own.musicxml"
    shutil.copy(shipped("etudes") / "tide.musicxml", own)
    put_on_shelf(own)
    (home / "etudes" / "broken.musicxml").write_text("<score-partwise>", "utf-8")
    last = list(shelf.list_etudes(Tallies()))[-1]
    assert last.title == "broken"
    assert "broken.musicxml" in last.problem
    assert not last.is_shipped


def test_a_folder_shows_folders_first_then_scores(tmp_path: Path) -> None:
    here = tmp_path / "scores"
    (here / "zebra").mkdir(parents=True)
    (here / "a.mid").write_bytes(b"")
    (here / "notes.txt").write_bytes(b"")
    (here / ".hidden.mid").write_bytes(b"")
    folder = shelf.look_into(str(here))
    assert [entry.name for entry in folder.entries] == ["zebra", "a.mid"]
    assert folder.parent == str(tmp_path)
    with pytest.raises(CoachError, match="cannot be opened"):
        shelf.look_into(str(here / "gone"))
