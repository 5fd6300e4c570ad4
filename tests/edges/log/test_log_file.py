"""The file of the log: nothing finished is lost, and trouble is told in words."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
from pathlib import Path
from threading import Thread

import pytest

from coach.edges.log import log_file
from coach.edges.log.log_file import IN_MEMORY
from coach.edges.log.run_log import RunLogFile
from coach.errors import RunLogError
from coach.planning.edits import Edits
from coach.score.etude_key import EtudeKey
from tests.edges.log.kept_runs import FIELD, OUT, RIVER, finish, run


def test_what_was_written_is_there_when_it_is_opened_again(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "folder" / "log.db"
    with RunLogFile(path) as log:
        saved = finish(log, run(), OUT)
    with RunLogFile(path) as log:
        assert log.list_runs() == (saved,)


def test_the_file_is_written_with_care(tmp_path: Path) -> None:
    with RunLogFile(tmp_path / "log.db") as log:
        ask = log._file.database.execute
        assert ask("PRAGMA journal_mode").fetchone()[0] == "wal"
        assert ask("PRAGMA synchronous").fetchone()[0] == 2  # FULL
        assert ask("PRAGMA integrity_check").fetchone()[0] == "ok"


def test_a_database_of_another_program_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "log.db"
    by_hand = sqlite3.connect(path)
    by_hand.execute("CREATE TABLE photos (id)")
    by_hand.close()
    before = path.read_bytes()
    with pytest.raises(RunLogError, match="no run log of the coach"):
        RunLogFile(path)
    assert path.read_bytes() == before


@pytest.mark.parametrize("times", [1, 1000])
def test_a_file_that_is_no_database_is_laid_aside_and_practice_goes_on(
    tmp_path: Path, times: int
) -> None:
    path = tmp_path / "log.db"
    told: list[str] = []
    for number in range(1, 4):
        path.write_text(f"not a log {number} " * times)
        with RunLogFile(path, told.append) as log:
            finish(log, run(), OUT)
        with RunLogFile(path, told.append) as log:
            assert len(log.list_runs()) == 1
    kept = {one.read_text() for one in tmp_path.glob("log.db.damaged-*")}
    assert kept == {f"not a log {number} " * times for number in range(1, 4)}
    assert len(told) == len(kept)
    assert told[0].startswith("The run log was damaged, and no run in it could be read")


def test_who_plays_goes_on_where_no_log_can_be_made(tmp_path: Path) -> None:
    (tmp_path / "home").write_text("")
    told: list[str] = []
    with RunLogFile(tmp_path / "home" / "log.db", told.append, goes_on=True) as log:
        assert not log.is_kept
        finish(log, run())
        assert len(log.list_runs()) == 1
    (says,) = told
    assert "cannot be written: File exists" in says
    assert says.endswith("Until then nothing is kept.")


@pytest.mark.parametrize("goes_on", [True, False])
def test_where_a_damaged_log_cannot_be_laid_aside_who_plays_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, *, goes_on: bool
) -> None:
    def hindered(path: Path) -> None:
        raise PermissionError(13, "Permission denied", str(path))

    monkeypatch.setattr(log_file, "salvage", hindered)
    path = tmp_path / "log.db"
    path.write_text("not a log")
    told: list[str] = []
    if not goes_on:
        with pytest.raises(RunLogError, match="cannot be used: Permission denied"):
            RunLogFile(path)
        return
    with RunLogFile(path, told.append, goes_on=True) as log:
        assert log.list_runs() == ()
    assert len(told) == 1
    assert path.read_text() == "not a log"


def test_a_folder_that_nobody_may_look_into_has_no_log(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> bool:
        raise PermissionError(13, "Permission denied")

    with monkeypatch.context() as patch:
        patch.setattr(Path, "is_file", refuse)
        patch.setattr(Path, "mkdir", refuse)
        with RunLogFile(tmp_path / "log.db", goes_on=True) as log:
            assert not log.is_kept


def test_a_log_with_a_broken_page_is_laid_aside(tmp_path: Path) -> None:
    path = tmp_path / "log.db"
    with RunLogFile(path) as log:
        for minute in range(60):
            finish(log, run(minute), OUT)
    raw = bytearray(path.read_bytes())
    raw[4096:] = b"\xff" * (len(raw) - 4096)
    path.write_bytes(raw)
    told: list[str] = []
    with RunLogFile(path, told.append) as log:
        assert log.list_runs() == ()
    (kept,) = tmp_path.glob("log.db.damaged-*")
    assert kept.read_bytes() == raw
    assert len(told) == 1


def test_a_folder_in_the_place_of_the_log_is_told_of(tmp_path: Path) -> None:
    with pytest.raises(RunLogError, match=r"cannot be used: .*Check the folder"):
        RunLogFile(tmp_path)


def test_a_file_in_the_place_of_the_folder_is_told_of(tmp_path: Path) -> None:
    (tmp_path / "home").write_text("")
    with pytest.raises(RunLogError, match="cannot be used: File exists"):
        RunLogFile(tmp_path / "home" / "log.db")


def test_a_full_disk_is_told_of(tmp_path: Path) -> None:
    with RunLogFile(tmp_path / "log.db") as log:
        (pages,) = log._file.database.execute("PRAGMA page_count").fetchone()
        log._file.database.execute(f"PRAGMA max_page_count = {pages}")
        long = run(etude="River " * 100_000)
        with pytest.raises(RunLogError, match=r"disk is full.*Make room"):
            log.begin(long)
        log._file.database.execute("PRAGMA max_page_count = 100000")
        finish(log, run())


def test_a_log_that_another_program_holds_is_told_of(tmp_path: Path) -> None:
    path = tmp_path / "log.db"
    with RunLogFile(path) as log:
        log._file.database.execute("PRAGMA busy_timeout = 50")
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(RunLogError, match="in use by another program"):
            log.begin(run())
        other.execute("ROLLBACK")
        other.close()
        assert log.begin(run()) == 1


def test_an_interrupted_call_leaves_nothing_half_written() -> None:
    with RunLogFile(IN_MEMORY) as log:

        def interrupted() -> None:
            with log._file.transaction() as database:
                database.execute(
                    "INSERT INTO edits (etude, saved, wishes) VALUES (1, 2, 3)"
                )
                raise KeyboardInterrupt

        with pytest.raises(KeyboardInterrupt):
            interrupted()
        assert log.read_edits(EtudeKey("1", "ccc")) == Edits()
        finish(log, run())


def test_threads_write_one_after_the_other(tmp_path: Path) -> None:
    with RunLogFile(tmp_path / "log.db") as log:
        writers = [
            Thread(target=lambda k=k: finish(log, run(k), OUT)) for k in range(8)
        ]
        for writer in writers:
            writer.start()
        for writer in writers:
            writer.join()
        assert len(log.list_runs()) == 8


WRITER = """
import sys
from pathlib import Path
from tests.edges.log.kept_runs import MORNING, OUT, finish, run
from coach.edges.log.run_log import RunLogFile
with RunLogFile(Path(sys.argv[1])) as log:
    for minute in range(int(sys.argv[2])):
        saved = finish(log, run(minute, etude=sys.argv[3]), OUT, OUT)
        print(saved.id, flush=True)
"""


def start_writer(path: Path, runs: int, etude: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path), str(runs), etude],
        stdout=subprocess.PIPE,
        text=True,
        cwd=Path(__file__).parents[3],
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[3])},
    )


def test_two_programs_write_to_one_log(tmp_path: Path) -> None:
    path = tmp_path / "log.db"
    writers = [start_writer(path, 30, etude) for etude in ("River", "Field")]
    for writer in writers:
        writer.communicate(timeout=60)
        assert writer.returncode == 0
    with RunLogFile(path) as log:
        assert len(log.list_runs(RIVER)) == len(log.list_runs(FIELD)) == 30
        assert all(len(one.marks) == 2 for one in log.list_runs())


def test_a_program_killed_while_it_writes_loses_nothing_finished(
    tmp_path: Path,
) -> None:
    """The same at a hundred random moments: tests/benchmarks/kill_the_log.py."""
    path = tmp_path / "log.db"
    told: list[int] = []
    for runs in (3, 17, 40):
        writer = start_writer(path, 100_000, "River")
        assert writer.stdout is not None
        told += [int(writer.stdout.readline()) for _ in range(runs)]
        writer.send_signal(signal.SIGKILL)
        told += [int(line) for line in writer.stdout.read().splitlines()]
        writer.stdout.close()
        writer.wait(timeout=60)
        with RunLogFile(path) as log:
            finished = {one.id for one in log.list_runs() if one.is_completed}
            assert set(told) <= finished
            check = log._file.database.execute("PRAGMA integrity_check").fetchone()
            assert check[0] == "ok"
