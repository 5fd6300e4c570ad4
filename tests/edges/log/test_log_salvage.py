"""Of a damaged log everything is saved that can be read, and the old file is kept."""

from __future__ import annotations

import sqlite3
from contextlib import closing, suppress
from dataclasses import replace
from functools import cache
from itertools import islice
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory
from typing import Any, cast

import pytest

from coach.edges.log.log_migrations import APPLICATION_ID, MIGRATIONS
from coach.edges.log.log_salvage import _rows, salvage
from coach.edges.log.run_log import RunLogFile
from coach.errors import RunLogError
from coach.planning.edits import Edits
from coach.rehearsal.run.run import Run
from tests.edges.log.kept_runs import MINE, OUT, PLAYED, RIVER, finish, run

RUNS = 300


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "log.db"


@cache
def filled() -> tuple[bytes, list[Run]]:
    """Fill a log, once for all tests; give its file and its runs."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "log.db"
        with RunLogFile(path) as log:
            log._file.database.execute("PRAGMA synchronous = OFF")  # we are in a hurry
            log.save_edits(RIVER, Edits(dial=0.5))
            runs = [
                finish(log, run(minute, note=f"run {minute}"), OUT, evidence=PLAYED)
                for minute in range(RUNS)
            ]
        return path.read_bytes(), runs


def fill(path: Path) -> list[Run]:
    raw, runs = filled()
    path.write_bytes(raw)
    return runs


def find_leaf(path: Path, table: str) -> int:
    """Give the number of a page in the middle of a table."""
    by_hand = sqlite3.connect(path)
    pages = by_hand.execute(
        "SELECT pageno FROM dbstat WHERE name = ? AND pagetype = 'leaf'", (table,)
    ).fetchall()
    by_hand.close()
    return int(pages[len(pages) // 2][0])


def overwrite(path: Path, at: int, raw: bytes) -> None:
    with path.open("r+b") as file:
        file.seek(at)
        file.write(raw)


@pytest.mark.parametrize("table", ["runs", "marks", "words", "evidence"])
def test_rows_outside_a_broken_page_are_saved(path: Path, table: str) -> None:
    before = fill(path)
    overwrite(path, 4096 * (find_leaf(path, table) - 1), b"\xff" * 4096)
    broken = path.read_bytes()
    told: list[str] = []
    with RunLogFile(path, told.append) as log:
        saved = log.list_runs()
        assert log.read_edits(RIVER).dial == 0.5
        finish(log, run(999))
        assert log._file.database.execute("PRAGMA quick_check").fetchone()[0] == "ok"
    known = {one.uid: one for one in before}
    assert all(one.uid in known for one in saved)
    least = 200 if table == "runs" else RUNS
    assert least <= len(saved) <= RUNS
    if table == "runs":
        assert all(known[one.uid] == one for one in saved)
    (kept,) = path.parent.glob("log.db.damaged-*")
    assert kept.read_bytes() == broken
    assert told == [
        f"The run log was damaged: {len(saved)} runs were saved, and the old file "
        f"is kept as {kept}."
    ]
    with RunLogFile(path, told.append):
        assert len(told) == 1


def test_a_row_that_makes_no_sense_is_left_behind(path: Path) -> None:
    """A byte flipped inside a value breaks no page: reading finds it."""
    fill(path)
    at = path.read_bytes().index(b"2025-03-03T09:07:00+01:00")
    overwrite(path, at, b"2025-99")
    told: list[str] = []
    with RunLogFile(path, told.append) as log:
        assert len(log.list_runs()) == RUNS - 1
        assert len(told) == 1


def test_a_run_whose_notes_left_out_make_no_sense_is_left_behind(path: Path) -> None:
    fill(path)
    by_hand = sqlite3.connect(path)
    by_hand.execute("DROP TRIGGER runs_never_update")
    by_hand.execute("UPDATE runs SET left_out = '[1,' WHERE id = 7")
    by_hand.commit()
    by_hand.close()
    told: list[str] = []
    with RunLogFile(path, told.append) as log:
        assert len(log.list_runs()) == RUNS - 1
    assert len(told) == 1


def lead_back(path: Path, page: int) -> int:
    """Give the middle row of a table's leaf the number of one before; tell its own.

    Source: https://www.sqlite.org/fileformat.html, "B-tree Pages": the places of the
    cells stand behind a header of 8 bytes; a cell begins with its length and its row's
    number, both in 7 bits a byte.
    """
    at = 4096 * (page - 1)
    raw = path.read_bytes()[at : at + 4096]

    def place(k: int) -> int:
        cell = int.from_bytes(raw[8 + 2 * k : 10 + 2 * k], "big")
        return cell + 1 + (raw[cell] > 0x7F)

    middle = int.from_bytes(raw[3:5], "big") // 2
    before, own = place(middle - 5), place(middle)
    overwrite(path, at + own, raw[before : before + 2])
    return (raw[own] & 0x7F) << 7 | raw[own + 1]


def test_rows_out_of_order_are_read_once(path: Path) -> None:
    """Whoever looks for the next row is led back, again and again."""
    before = fill(path)
    lost = lead_back(path, find_leaf(path, "runs"))
    assert salvage(path) is not None
    with RunLogFile(path) as log:
        saved = log.list_runs()
    known = {one.uid for one in before} - {one.uid for one in saved}
    assert known == {before[lost - 1].uid}


def test_evidence_that_makes_no_sense_is_left_behind(path: Path) -> None:
    fill(path)
    by_hand = sqlite3.connect(path)
    by_hand.execute("DROP TRIGGER evidence_never_update")
    by_hand.execute("UPDATE evidence SET played = x'00ff' WHERE run = 7")
    by_hand.commit()
    by_hand.close()
    told: list[str] = []
    with RunLogFile(path, told.append) as log:
        assert len(log.list_played(RUNS, MINE)) == RUNS - 1
        assert len(log.list_runs()) == RUNS
    assert len(told) == 1


def test_flipped_bytes_never_come_out_as_anything_but_a_sentence(path: Path) -> None:
    fill(path)
    whole = path.read_bytes()
    chance = Random(14)
    for _ in range(3):
        raw = bytearray(whole)
        for _ in range(30):
            raw[chance.randrange(len(raw))] ^= 1 << chance.randrange(8)
        path.write_bytes(raw)
        for ending in ("-wal", "-shm"):
            path.with_name(path.name + ending).unlink(missing_ok=True)
        told: list[str] = []
        with (
            suppress(RunLogError),  # a sentence; anything else fails the test
            RunLogFile(path, told.append) as log,
        ):
            log.list_runs()
            log.list_played(RUNS, MINE)
            log.tally()
        assert len(told) <= 2


def test_a_table_that_is_not_there_is_given_up_at_once(path: Path) -> None:
    """Not after as many tries as rows may be missing: each of them takes its time."""

    class Counted(sqlite3.Connection):
        asked = 0

        def execute(self, *words: Any) -> sqlite3.Cursor:
            self.asked += 1
            return super().execute(*words)

    fill(path)
    with closing(sqlite3.connect(path, factory=Counted)) as old:
        assert [*_rows(old, "no_such_table")] == []
        assert old.asked < 10


def test_a_damaged_log_that_another_program_has_open_waits(path: Path) -> None:
    fill(path)
    leaf = find_leaf(path, "runs")
    with RunLogFile(path) as other:
        other.list_runs()
        overwrite(path, 4096 * (leaf - 1), b"\xff" * 4096)
        with pytest.raises(RunLogError, match=r"in use by another.*Close the other"):
            RunLogFile(path)
    assert not list(path.parent.glob("*damaged*"))


def test_an_older_damaged_log_is_saved_as_one_of_today(path: Path) -> None:
    by_hand = sqlite3.connect(path, isolation_level=None)
    MIGRATIONS[0](by_hand)
    by_hand.execute("PRAGMA user_version = 1")
    by_hand.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    for number in range(300):
        by_hand.execute(
            "INSERT INTO runs (started, started_utc_s, etude, from_bar, to_bar,"
            " is_whole, bpm, plan) VALUES "
            "('2025-03-03T09:00:00+01:00', ?, 'River', 1, 4, 1, 72, 'a plan')",
            (number,),
        )
    by_hand.close()
    overwrite(path, 4096 * (find_leaf(path, "runs") - 1), b"\xff" * 4096)
    told: list[str] = []
    with RunLogFile(path, told.append) as log:
        saved = log.list_runs()
    assert len(told) == 1
    assert len(saved) > 100
    assert replace(saved[0], uid="").etude == "River"
    assert len({one.uid for one in saved}) == len(saved)


@pytest.mark.parametrize("lacks", [0.03, 0.1, 0.4])
def test_of_a_log_that_was_cut_short_what_is_left_is_saved(
    path: Path, lacks: float
) -> None:
    before = {one.uid: one for one in fill(path)}
    whole = path.read_bytes()
    left = whole[: int((1.0 - lacks) * len(whole))]
    path.write_bytes(left)
    told: list[str] = []
    with RunLogFile(path, told.append) as log:
        saved = log.list_runs()
        finish(log, run(999))
    a_page = 30  # so many runs are lost where one is not whole
    assert len(saved) > RUNS * (1.0 - 2.0 * lacks) - a_page
    assert {one.uid for one in saved} <= set(before)
    assert {one.started for one in saved} <= {one.started for one in before.values()}
    (kept,) = path.parent.glob("log.db.damaged-*")
    assert kept.read_bytes() == left
    assert f"{len(saved)} runs were saved" in told[0]
    assert not [*path.parent.glob("*filled-up*")]


def test_of_a_page_that_was_cut_in_two_no_half_of_a_word_is_saved(path: Path) -> None:
    """The rest of it would be nothing but zeros."""
    fill(path)
    by_hand = sqlite3.connect(path)
    by_hand.execute("DROP TRIGGER words_never_update")
    by_hand.execute("UPDATE words SET note = 'as run ' || run")
    by_hand.commit()
    by_hand.close()
    whole = path.read_bytes()
    cut = whole.index(b"as run", 4096 * (find_leaf(path, "words") - 1))
    path.write_bytes(whole[: cut + 3])
    with RunLogFile(path) as log:
        notes = [one.note for one in log.list_runs()]
    kept = [note for note in notes if note.startswith("as")]
    assert len(kept) > 100
    assert all(note.startswith("as run ") for note in kept)


def test_what_was_written_ahead_of_a_log_that_was_cut_short_is_saved(
    path: Path,
) -> None:
    fill(path)
    with RunLogFile(path) as log:
        newest = finish(log, run(999))
        files = {
            ending: path.with_name(f"log.db{ending}").read_bytes()
            for ending in ("", "-wal")
        }
    assert files["-wal"]
    cut = path.with_name("cut.db")
    cut.with_name("cut.db-wal").write_bytes(files["-wal"])
    cut.write_bytes(files[""][: len(files[""]) * 9 // 10])
    with RunLogFile(cut) as log:
        assert newest.uid in {one.uid for one in log.list_runs()}


def test_a_log_that_says_it_is_endless_is_not_filled_up(path: Path) -> None:
    fill(path)
    overwrite(path, 28, b"\x7f\xff\xff\xff")
    with RunLogFile(path, print) as log:
        assert log.list_runs() == ()
    (kept,) = path.parent.glob("log.db.damaged-*")
    assert kept.stat().st_size < 2**31, "not filled up"
    assert not list(path.parent.glob("*filled-up*"))


class LeadsBack:
    """A damaged log: after any row comes the second."""

    def execute(self, _query: str, _after: tuple[int, ...] = ()) -> LeadsBack:
        return self

    def fetchone(self) -> dict[str, int]:
        return {"place": 2}


def test_a_damaged_tree_that_leads_back_is_not_followed_without_end() -> None:
    rows = _rows(cast("sqlite3.Connection", LeadsBack()), "runs")
    assert list(islice(rows, 2)) == [{"place": 2}]
