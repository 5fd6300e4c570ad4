"""A log that cannot be written is read all the same, and told of."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest

from coach.edges.log import log_file
from coach.edges.log.log_migrations import APPLICATION_ID, MIGRATIONS
from coach.edges.log.run_log import RunLogFile
from coach.errors import RunLogError
from tests.edges.log.kept_runs import OUT, finish, run
from tests.locked_log import lock_away


def test_a_log_in_a_folder_without_rights_is_read(tmp_path: Path) -> None:
    path, told = tmp_path / "log.db", list[str]()
    with RunLogFile(path) as log:
        saved = finish(log, run(), OUT)
    lock_away(path)
    before = path.read_bytes()
    with RunLogFile(path, told.append) as log:
        assert log.list_runs() == (saved,)
        with pytest.raises(RunLogError, match=r"cannot be written: .*Check the folder"):
            log.begin(run(1))
        assert log.list_runs() == (saved,)
    assert len(told) == 1
    assert told[0].endswith("Until then it is only read.")
    assert path.read_bytes() == before


def test_who_plays_goes_on_and_is_told_once_that_nothing_is_kept(
    tmp_path: Path,
) -> None:
    path, told = tmp_path / "log.db", list[str]()
    with RunLogFile(path) as log:
        saved = finish(log, run(), OUT)
    lock_away(path)
    before = path.read_bytes()
    with RunLogFile(path, told.append, goes_on=True) as log:
        again = finish(log, run(1), OUT)
        assert log.list_runs() == (saved, again)
    assert len(told) == 1
    assert told[0].endswith("Until then nothing is kept.")
    assert path.read_bytes() == before


def test_what_was_written_last_is_read_too(tmp_path: Path) -> None:
    """The newest runs stand beside the file until the program that wrote them ends."""
    path = tmp_path / "mine" / "log.db"
    with RunLogFile(path) as log:
        saved = finish(log, run(), OUT)
        stick = tmp_path / "stick"
        stick.mkdir()
        for ending in ("", "-wal"):
            name = path.name + ending
            (stick / name).write_bytes((path.parent / name).read_bytes())
    lock_away(stick / path.name)
    with RunLogFile(stick / path.name) as log:
        assert log.list_runs() == (saved,)


def test_a_log_is_read_where_there_is_no_room_for_a_copy(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "log.db"
    with RunLogFile(path) as log:
        saved = finish(log, run(), OUT)
    lock_away(path)

    def is_full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(shutil, "copyfile", is_full)
    with RunLogFile(path) as log:
        assert log.list_runs() == (saved,)


def test_an_older_log_is_brought_up_to_date_in_its_copy_alone(tmp_path: Path) -> None:
    path = tmp_path / "log.db"
    with sqlite3.connect(path) as old:
        for migrate in MIGRATIONS[:1]:
            migrate(old)
        old.execute("PRAGMA user_version = 1")
        old.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        old.execute("PRAGMA journal_mode = WAL")
    old.close()
    lock_away(path)
    before = path.read_bytes()
    with RunLogFile(path) as log:
        assert log.list_runs() == ()
    assert path.read_bytes() == before
    assert [one.name for one in tmp_path.iterdir() if "version" in one.name] == []


def test_a_disk_without_room_beside_a_log_is_called_full(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, told = tmp_path / "log.db", list[str]()
    RunLogFile(path).close()
    lock_away(path)
    monkeypatch.setattr(log_file, "ROOM_BESIDE_BYTES", float("inf"))
    RunLogFile(path, told.append).close()
    assert told[0].startswith("The disk is full: ")
