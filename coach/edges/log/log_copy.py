"""Copies of a run log: beside it before it changes, in memory where it cannot."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

WRITTEN_AHEAD = "-wal"
"""Ends the name of the file that holds a log's newest transactions
(https://www.sqlite.org/fileformat2.html, "The Write-Ahead Log")."""


def copy_beside(database: sqlite3.Connection, path: Path, version: int) -> None:
    """Copy a log beside itself before it is brought up to date; whole or not at all."""
    copy = path.with_name(f"{path.name}.version-{version}")
    fresh = path.with_name(f"{copy.name}.new")
    fresh.unlink(missing_ok=True)
    with closing(sqlite3.connect(fresh)) as target:
        database.backup(target)
    fresh.replace(copy)


def copy_in_memory(path: Path) -> sqlite3.Connection:
    """Give what stands in a log that cannot be opened where it lies.

    Nothing is written beside it.  Where there is no room for a copy of it anywhere
    else, what was written ahead of the file itself is missing.
    """
    database = sqlite3.connect(
        ":memory:", isolation_level=None, check_same_thread=False
    )
    try:
        with TemporaryDirectory(ignore_cleanup_errors=True) as folder:
            copy = Path(folder) / path.name
            shutil.copyfile(path, copy)
            ahead = path.with_name(path.name + WRITTEN_AHEAD)
            if ahead.is_file():
                shutil.copyfile(ahead, copy.with_name(ahead.name))
            with closing(sqlite3.connect(copy)) as source:
                source.backup(database)
    except (OSError, sqlite3.OperationalError):
        as_it_is = f"{path.absolute().as_uri()}?mode=ro&immutable=1"
        with closing(sqlite3.connect(as_it_is, uri=True)) as source:
            source.backup(database)
    return database
