"""The shelf: in which order etudes stand, and what is told of each."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from coach.config import shipped
from coach.edges.log.log_file import IN_MEMORY
from coach.edges.log.run_log import RunLogFile
from coach.edges.scores.score_files import read_part
from coach.errors import CoachError
from coach.rehearsal.review.etude_tally import EtudeTally, Tallies
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.score.etude_key import key_of
from coach.score.tempo import Seconds
from coach.wiring import real_shelf as shelf
from coach.wiring.taking_in import put_on_shelf
from tests.edges.log.kept_runs import finish, run


def rehearsed(day: int) -> EtudeTally:
    when = datetime(2026, 1, day, tzinfo=UTC)
    return EtudeTally(runs=3, last_run=when, clean_bpm=72.0)


def test_what_was_rehearsed_last_stands_first_then_the_easiest() -> None:
    known = Tallies(by_title={"Long River": rehearsed(2), "Tide": rehearsed(1)})
    titles = [etude.title for etude in shelf.list_etudes(known, None)]
    assert titles[:3] == ["Long River", "Tide", "Morning Air"]
    assert len(titles) == len(list(shipped("etudes").glob("*.musicxml")))


def test_an_etude_tells_its_range_tempo_and_trouble() -> None:
    (tide,) = [
        etude
        for etude in shelf.list_etudes(
            Tallies(by_title={"Tide": rehearsed(1)}), None, hardest=lambda _: "bar 12"
        )
        if etude.title == "Tide"
    ]
    assert (tide.lowest, tide.highest) == ("Db3", "Ab4")
    assert (tide.metre, tide.goal_bpm, tide.bars) == ("9/8", 58.0, 24)
    assert (tide.hardest, tide.best_clean_bpm) == ("bar 12", 72.0)
    assert tide.is_shipped


def test_the_hardest_bar_is_upheld_against_chance_and_gone_when_it_is_mended() -> None:
    """One fault is none; four of six are a place; clean runs since then mend it."""
    part = read_part(shipped("etudes") / "tide.musicxml")
    key = key_of(part)

    def play(log: RunLogFile, *marks: Mark) -> None:
        kept = run(etude_key=key.fingerprint, etude=key.title, to_bar=part.bar_count)
        finish(log, kept, *marks, is_clean=not marks)

    out = Mark(MarkKind.MISSED, 12, 1.0, Seconds(30.0))
    with RunLogFile(IN_MEMORY) as log:
        tell = shelf.tell_hardest(log, "tenor-trombone")
        assert tell(part) == ""
        play(log, out)
        assert tell(part) == ""
        for _ in range(5):
            play(log, out)
        assert tell(part) == "bar 12"
        assert shelf.tell_hardest(log, "horn-f")(part) == ""
        for _ in range(12):
            play(log)
        assert tell(part) == ""


def test_a_score_of_ones_own_is_taken_in_and_a_bad_one_is_shown_with_its_problem(
    home: Path, tmp_path: Path
) -> None:
    own = tmp_path / "my own.musicxml"
    shutil.copy(shipped("etudes") / "tide.musicxml", own)
    put_on_shelf(own)
    (home / "etudes" / "broken.musicxml").write_text("<score-partwise>", "utf-8")
    last = list(shelf.list_etudes(Tallies(), None))[-1]
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
