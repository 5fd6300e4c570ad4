"""The file of the run log: opened with care, brought up to date, told of in words.

Every transaction is safe on the disk when it is over (write-ahead log,
``synchronous=FULL``).  Several programs and threads may write at once; one waits for
the other, a program for a few seconds.
"""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import RLock
from traceback import clear_frames
from typing import TypeVar

from coach.edges.log.log_copy import copy_beside, copy_in_memory
from coach.edges.log.log_migrations import APPLICATION_ID, MIGRATIONS
from coach.edges.log.log_rows import WHAT_IS_READ
from coach.edges.log.log_salvage import NO_SENSE, is_damage, salvage
from coach.edges.log.log_sums import add_up
from coach.errors import RunLogError
from coach.rehearsal.run.mark_kinds import MarkKind

Read = TypeVar("Read")

IN_MEMORY = Path(":memory:")
"""Names a log that is gone when it is closed."""

PATIENCE_S = 3.0
"""How long one program waits while another writes."""

LARGEST_LOOKED_THROUGH_BYTES = 4_000_000
"""A log up to this size is looked through each time it is opened: some thousand runs,
a few milliseconds.  A larger one shows its damage where it is read."""


UNWRITABLE = (
    sqlite3.SQLITE_CANTOPEN,
    sqlite3.SQLITE_READONLY,
    sqlite3.SQLITE_IOERR,
    sqlite3.SQLITE_FULL,
)
"""What opening comes to in a folder without rights or room: even reading wants to
write beside the file (https://www.sqlite.org/wal.html, "Read-Only Databases")."""


ROOM_BESIDE_BYTES = 32_768
"""What SQLite lays beside a log before it reads one
(https://www.sqlite.org/walformat.html, "The WAL-Index File Format")."""


class LogFile:
    """One SQLite file, open; where it cannot be written, what can be read of it.

    Parameters
    ----------
    goes_on : bool
        Where it cannot be written, or not even made, what is to be written is
        forgotten at the end, and told so once; else it is refused.
    """

    def __init__(
        self, path: Path, tell: Callable[[str], None], *, goes_on: bool = False
    ) -> None:
        self._path = path
        self._tell = tell
        self._goes_on = goes_on
        self._unwritable: RunLogError | None = None
        self._one_at_a_time = RLock()
        with self.spoken():
            try:
                self._open()
            except (sqlite3.DatabaseError, *NO_SENSE) as error:
                self._salvage_after(error)

    @property
    def is_kept(self) -> bool:
        """Tell whether what is written comes into the file."""
        return self._unwritable is None

    def close(self) -> None:
        """Close the file; what was written is safe already."""
        self.database.close()

    @contextmanager
    def transaction(self) -> Iterator[sqlite3.Connection]:
        """Do all or nothing; what is done is on the disk afterwards."""
        with self.spoken():
            if self._unwritable is not None and not self._goes_on:
                raise self._unwritable
            with self._all_or_nothing() as database:
                yield database

    @contextmanager
    def _all_or_nothing(self) -> Iterator[sqlite3.Connection]:
        """Do all or nothing in whatever is open."""
        self.database.execute("BEGIN IMMEDIATE")
        try:
            yield self.database
            self.database.execute("COMMIT")
        except BaseException:
            if self.database.in_transaction:
                self.database.execute("ROLLBACK")
            raise

    @contextmanager
    def spoken(self) -> Iterator[None]:
        """Say in the player's words what goes wrong with the file."""
        with self._one_at_a_time:
            try:
                yield
            except (sqlite3.Error, OSError) as error:
                raise _in_words(self._path, error) from error

    def read(self, work: Callable[[sqlite3.Connection], Read]) -> Read:
        """Read something; what turns out to be damaged is salvaged and read then."""
        with self.spoken():
            try:
                return work(self.database)
            except (sqlite3.DatabaseError, *NO_SENSE) as error:
                self._salvage_after(error)
                return work(self.database)

    def _salvage_after(self, error: Exception) -> None:
        """Go on with what can be read of a damaged log; raise any other error."""
        is_damaged = is_damage(error) or not isinstance(error, sqlite3.Error)
        if self._path == IN_MEMORY or not is_damaged:
            raise error
        clear_frames(error.__traceback__)  # they hold what was being read open
        self.database.close()
        try:
            saved = salvage(self._path)
        except (sqlite3.OperationalError, OSError) as hindered:
            self._go_without(hindered, can_be_read=False)
            return
        self._open()
        self._tell(saved.says)

    def _open(self) -> None:
        """Open the file; where it cannot be written, a copy of what stands in it."""
        try:
            if self._path != IN_MEMORY:
                self._path.parent.mkdir(parents=True, exist_ok=True)
            self._set_up(_connect(self._path))
        except (sqlite3.OperationalError, OSError) as error:
            self._go_without(error, can_be_read=_is_file(self._path))

    def _go_without(self, error: Exception, *, can_be_read: bool) -> None:
        """Go on with what can be read of a log that cannot be written, or with none."""
        is_unwritable = _code(error) in UNWRITABLE or (
            isinstance(error, OSError) and not can_be_read
        )
        if not is_unwritable or not (can_be_read or self._goes_on):
            raise error
        self._unwritable = _in_words(self._path, error, "written")
        self._set_up(copy_in_memory(self._path) if can_be_read else _connect(IN_MEMORY))
        until = "nothing is kept" if self._goes_on else "it is only read"
        self._tell(f"{self._unwritable} Until then {until}.")

    def _set_up(self, database: sqlite3.Connection) -> None:
        """Bring what was opened to this version, and close it again if that fails."""
        self.database = database
        try:
            self._bring_up_to_date()
        except BaseException:
            database.close()
            raise

    def _bring_up_to_date(self) -> None:
        """Make sure that it is a run log, undamaged and of this version."""
        database = self.database
        database.row_factory = sqlite3.Row
        database.execute("PRAGMA foreign_keys = ON")
        if not self._is_ours():
            raise RunLogError(
                f"{self._path} is no run log of the coach.",
                "Move it away, or name another folder with COACH_HOME.",
            )
        database.execute("PRAGMA journal_mode = WAL")
        database.execute("PRAGMA synchronous = FULL")
        self._look_through()
        version = self.version()
        if version > len(MIGRATIONS):
            self._tell_newer()
        if version < len(MIGRATIONS):
            if version and self._path != IN_MEMORY and self._unwritable is None:
                copy_beside(database, self._path, version)
            self._migrate()

    def _is_ours(self) -> bool:
        """Tell whether the file is a run log or still empty."""
        (mark,) = self.database.execute("PRAGMA application_id").fetchone()
        (tables,) = self.database.execute(
            "SELECT COUNT(*) FROM sqlite_schema"
        ).fetchone()
        return bool(mark == APPLICATION_ID or tables == 0)

    def version(self) -> int:
        """Tell how far the file has come."""
        (version,) = self.database.execute("PRAGMA user_version").fetchone()
        return int(version)

    def _look_through(self) -> None:
        """Find damage in a log of ordinary size before anything builds on it."""
        if self._path == IN_MEMORY or not _is_file(self._path):
            return
        if self._path.stat().st_size <= LARGEST_LOOKED_THROUGH_BYTES:
            (verdict,) = self.database.execute("PRAGMA quick_check(1)").fetchone()
            if verdict != "ok":
                damage = sqlite3.DatabaseError(verdict)
                damage.sqlite_errorcode = sqlite3.SQLITE_CORRUPT
                raise damage

    def _tell_newer(self) -> None:
        """Say what of a newer log is left out; refuse one that cannot be read."""
        try:
            for statement in WHAT_IS_READ:
                self.database.execute(f"{statement} LIMIT 0")
            kinds = self.database.execute("SELECT DISTINCT kind FROM marks").fetchall()
        except sqlite3.OperationalError as error:
            raise RunLogError(
                f"{self._path} was written by a newer coach, in a way that this one "
                "cannot read.",
                "Update the coach.",
            ) from error
        unknown = sorted({row["kind"] for row in kinds} - set(MarkKind))
        left_out = f" (marks: {', '.join(unknown)})" if unknown else ""
        self._tell(
            "The run log was written by a newer coach: what this one does not know "
            f"is left out{left_out}."
        )

    def _migrate(self) -> None:
        """Bring the file to this version, a step in one transaction each."""
        for target in range(1, len(MIGRATIONS) + 1):
            with self._all_or_nothing() as database:
                if self.version() < target:
                    MIGRATIONS[target - 1](database)
                    database.execute(f"PRAGMA user_version = {target}")
                    database.execute(f"PRAGMA application_id = {APPLICATION_ID}")
                    if target == len(MIGRATIONS):
                        add_up(database)


def _connect(path: Path) -> sqlite3.Connection:
    """Open a file as every log is opened."""
    return sqlite3.connect(
        path, timeout=PATIENCE_S, isolation_level=None, check_same_thread=False
    )


def _is_file(path: Path) -> bool:
    """Tell whether a log is there; what nobody may look at is not."""
    try:
        return path.is_file()
    except OSError:
        return False


def _damaged(path: Path) -> RunLogError:
    """Say that nothing can be read of a log."""
    return RunLogError(
        f"The run log {path} is damaged.",
        "Move it away and a new one is started; keep it, it may be mended.",
    )


def _code(error: Exception) -> int | None:
    """Give SQLite's primary code of an error, None of any other error."""
    code = getattr(error, "sqlite_errorcode", None)
    return None if code is None else code & 0xFF


def _is_full(path: Path) -> bool:
    """Tell whether the disk has too little room for what stands beside a log."""
    return shutil.disk_usage(path.parent).free < ROOM_BESIDE_BYTES


def _in_words(path: Path, error: Exception, what: str = "used") -> RunLogError:
    """Turn what SQLite or the system says into what a player can do."""
    primary = _code(error)
    if primary in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return RunLogError(
            f"The run log {path} is in use by another program.",
            "Close the other one and try again.",
        )
    if primary in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return _damaged(path)
    if primary == sqlite3.SQLITE_FULL or (primary in UNWRITABLE and _is_full(path)):
        return RunLogError(
            f"The disk is full: the run log {path} cannot grow.", "Make room."
        )
    reason = getattr(error, "strerror", None) or str(error)
    return RunLogError(
        f"The run log {path} cannot be {what}: {reason}.",
        "Check the folder's rights, or name another with COACH_HOME.",
    )
