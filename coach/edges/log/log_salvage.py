"""A damaged run log is salvaged row by row; the old file stays beside the fresh one."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import zlib
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from coach.edges.log.evidence_rows import unpack_evidence
from coach.edges.log.log_migrations import APPLICATION_ID, MIGRATIONS, name_of_old
from coach.edges.log.log_sums import add_up
from coach.errors import RunLogError

TABLES = (
    *("runs", "marks", "marks_taken_back", "ends", "evidence", "words"),
    *("edits", "asides", "later_words"),
)
"""In the order in which rows lean on each other; a word closes its run to marks."""

SIDES = ("-wal", "-shm")
"""Endings of the files that SQLite keeps beside a database."""

PAGE_SIZE_AT, PAGE_COUNT_AT = slice(16, 18), slice(28, 32)
"""Bytes of a database that say how large it is.
Source: https://www.sqlite.org/fileformat.html, "The Database Header"."""

MOST_MISSING = 2**30
"""Bytes that a file may lack; who asks for more is not to be believed, since a log of
100,000 runs takes a tenth of that."""

MOST_GAP_ROWS = 2000
"""So many numbers without a readable row, and the rest of a table is given up."""

NO_SENSE = (ValueError, KeyError, TypeError, zlib.error)
"""What reading a row comes to in which a value is none."""

DAMAGED = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)


@dataclass(frozen=True, slots=True)
class Salvaged:
    """What was saved of a damaged log."""

    runs: int
    """Runs that the fresh log has."""

    kept: Path
    """Where the damaged file is now."""

    @property
    def says(self) -> str:
        """Say it in one sentence."""
        if not self.runs:
            return (
                "The run log was damaged, and no run in it could be read: a new one is "
                f"begun, and the old file is kept as {self.kept}."
            )
        return (
            f"The run log was damaged: {self.runs} "
            f"{'run was' if self.runs == 1 else 'runs were'} saved, and the old file "
            f"is kept as {self.kept}."
        )


def is_damage(error: Exception) -> bool:
    """Tell whether SQLite has met a damaged file."""
    code = getattr(error, "sqlite_errorcode", None)
    if code is None:
        return "decode" in str(error)  # as Python says of words that are none
    return code & 0xFF in DAMAGED


def salvage(path: Path) -> Salvaged:
    """Put a fresh log with all readable rows in the place of a damaged one.

    The damaged file is laid aside under a name of its own, whatever of it was read.
    """
    fresh = path.with_name(f"{path.name}.salvaged")
    fresh.unlink(missing_ok=True)
    try:
        with closing(sqlite3.connect(path, isolation_level=None)) as held:
            _hold_alone(held, path)
            with _at_full_length(path, held) as old:
                runs = _save_rows(old, fresh)
        kept = _free_name(path)
        for ending in (*SIDES, ""):
            with suppress(FileNotFoundError):
                path.with_name(path.name + ending).rename(f"{kept}{ending}")
        fresh.rename(path)
    finally:
        fresh.unlink(missing_ok=True)
    return Salvaged(runs, kept)


def _free_name(path: Path) -> Path:
    """Name a damaged log by the time of day; the second of one time gets a number."""
    stamp = datetime.now().astimezone()
    first = free = f"{path.name}.damaged-{stamp:%Y%m%d-%H%M%S}"
    number = 1
    while path.with_name(free).exists():
        number += 1
        free = f"{first}-{number}"
    return path.with_name(free)


def _hold_alone(old: sqlite3.Connection, path: Path) -> None:
    """Refuse while another program has the log open, which would write on into it."""
    old.execute("PRAGMA busy_timeout = 0")
    try:
        old.execute("PRAGMA locking_mode = EXCLUSIVE")
        old.execute("BEGIN EXCLUSIVE")
        old.execute("ROLLBACK")
    except sqlite3.DatabaseError as error:
        if not is_damage(error):
            raise RunLogError(
                f"The run log {path} is damaged, and in use by another program.",
                "Close the other one and try again: what can be read is saved then.",
            ) from error


@contextmanager
def _at_full_length(
    path: Path, held: sqlite3.Connection
) -> Iterator[sqlite3.Connection]:
    """Give the log to read, or a copy where it is shorter than its first page says.

    Of a file that was cut short SQLite reads nothing at all: the copy is filled up
    with empty pages in place of those that are not whole, and only what stood in them
    is lost.
    """
    with path.open("rb") as file:
        header = file.read(PAGE_COUNT_AT.stop)
    page = int.from_bytes(header[PAGE_SIZE_AT], "big")
    length = page * int.from_bytes(header[PAGE_COUNT_AT], "big")
    size = path.stat().st_size
    if not 0 < length - size <= MOST_MISSING:
        yield held
        return
    copy = path.with_name(f"{path.name}.filled-up")
    try:
        shutil.copyfile(path, copy)
        os.truncate(copy, size - size % page)
        os.truncate(copy, length)
        with closing(sqlite3.connect(copy, isolation_level=None)) as whole:
            yield whole
    finally:
        copy.unlink(missing_ok=True)


def _save_rows(old: sqlite3.Connection, fresh: Path) -> int:
    """Write all readable rows into a fresh log; give the number of runs."""
    old.row_factory = sqlite3.Row
    with closing(sqlite3.connect(fresh, isolation_level=None)) as database:
        database.execute("PRAGMA foreign_keys = ON")
        database.execute("BEGIN")
        for migrate in MIGRATIONS:
            migrate(database)
        for table in TABLES:
            columns = [
                column[1] for column in database.execute(f"PRAGMA table_info({table})")
            ]
            for row in _rows(old, table):
                with suppress(sqlite3.Error, *NO_SENSE):
                    _save(database, table, columns, row)
        add_up(database)
        database.execute(f"PRAGMA user_version = {len(MIGRATIONS)}")
        database.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        database.execute("COMMIT")
        (runs,) = database.execute("SELECT COUNT(*) FROM runs").fetchone()
    return int(runs)


def _rows(old: sqlite3.Connection, table: str) -> Iterator[sqlite3.Row]:
    """Give every row of a table that can be read, one by one."""
    try:
        old.execute(f"SELECT * FROM {table} LIMIT 0")
    except sqlite3.DatabaseError:
        return  # an older log has no such table, or it lost the list of them
    last, missed = 0, 0
    while missed <= MOST_GAP_ROWS:
        try:
            row = old.execute(
                f"SELECT rowid AS place, * FROM {table} WHERE rowid > ? "
                "ORDER BY rowid LIMIT 1",
                (last,),
            ).fetchone()
        except sqlite3.DatabaseError:
            last, missed = last + 1, missed + 1
            continue
        if row is None:
            return
        if row["place"] <= last:  # a damaged tree leads back to where it came from
            last, missed = last + 1, missed + 1
            continue
        last, missed = row["place"], 0
        yield row


def _save(
    database: sqlite3.Connection, table: str, columns: list[str], row: sqlite3.Row
) -> None:
    """Write a row that makes sense; whatever does not is refused by an error."""
    there = [column for column in columns if column in row.keys()]  # noqa: SIM118
    values = {column: row[column] for column in there}
    if table == "runs":
        datetime.fromisoformat(values["started"])
        json.loads(values.get("left_out") or "[]")
        if not values.get("uid"):
            told = ("id", "started_utc_s", "etude", "from_bar", "to_bar", "bpm", "plan")
            values["uid"] = name_of_old(*(values[name] for name in told))
    if table == "evidence":
        unpack_evidence(values["played"])
    names = ", ".join(values)
    marks = ", ".join("?" * len(values))
    database.execute(
        f"INSERT INTO {table} ({names}) VALUES ({marks})", tuple(values.values())
    )
