"""The run log: one SQLite file that runs are written to, and read from.

Every call is one transaction and is safe on the disk when it comes back
(write-ahead log, ``synchronous=FULL``).  Rows are only ever added: triggers refuse
any change, and any mark or word on a run that is finished.  Several programs and
threads may write at once; one waits for the other, a program for a few seconds.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path
from threading import RLock
from types import TracebackType
from typing import Any

from coach.errors import RunLogError
from coach.planning.breaths import Locks
from coach.planning.edits import Edits
from coach.rehearsal.etude_tally import EtudeTally, Tallies
from coach.rehearsal.run import (
    FAULTS,
    Mark,
    MarkKind,
    Run,
    RunEnd,
    RunWord,
)
from coach.score.etude_key import EtudeKey
from coach.score.tempo import Seconds

IN_MEMORY = Path(":memory:")
"""Names a log that is gone when it is closed."""

PATIENCE_S = 3.0
"""How long one program waits while another writes."""

APPLICATION_ID = 0x436F6163
"""Marks our own files: ``Coac``."""


def _keep_runs(database: sqlite3.Connection) -> None:
    """Make the tables of runs, ends, words and marks."""
    for statement in (
        """CREATE TABLE runs (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            started TEXT NOT NULL, started_utc_s REAL NOT NULL,
            etude TEXT NOT NULL, from_bar INTEGER NOT NULL, to_bar INTEGER NOT NULL,
            is_whole INTEGER NOT NULL, bpm REAL NOT NULL, plan TEXT NOT NULL)""",
        "CREATE INDEX runs_by_etude ON runs (etude, started_utc_s)",
        """CREATE TABLE ends (
            run INTEGER PRIMARY KEY REFERENCES runs, is_completed INTEGER NOT NULL,
            reached_bar INTEGER, sent INTEGER NOT NULL, worst_late_s REAL NOT NULL,
            lasted_s REAL NOT NULL)""",
        """CREATE TABLE words (
            run INTEGER PRIMARY KEY REFERENCES runs, is_clean INTEGER,
            note TEXT NOT NULL, empties_at_scale REAL)""",
        """CREATE TABLE marks (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            run INTEGER NOT NULL REFERENCES runs, kind TEXT NOT NULL,
            bar INTEGER NOT NULL, beat REAL NOT NULL, at_s REAL NOT NULL,
            by_whom TEXT NOT NULL, amount_s REAL)""",
        "CREATE INDEX marks_by_run ON marks (run)",
        "CREATE TABLE marks_taken_back (mark INTEGER PRIMARY KEY REFERENCES marks)",
        """CREATE VIEW standing_marks AS SELECT * FROM marks
            WHERE id NOT IN (SELECT mark FROM marks_taken_back)""",
        """CREATE TRIGGER no_mark_on_a_finished_run BEFORE INSERT ON marks
            WHEN EXISTS (SELECT 1 FROM words WHERE run = NEW.run)
            BEGIN SELECT RAISE(ABORT, 'the run is finished'); END""",
        """CREATE TRIGGER no_mark_taken_from_a_finished_run
            BEFORE INSERT ON marks_taken_back
            WHEN EXISTS (SELECT 1 FROM words JOIN marks USING (run)
                         WHERE marks.id = NEW.mark)
            BEGIN SELECT RAISE(ABORT, 'the run is finished'); END""",
        *_never_changes("runs", "ends", "words", "marks", "marks_taken_back"),
    ):
        database.execute(statement)


def _keep_edits(database: sqlite3.Connection) -> None:
    """Make the table of what the player insists on."""
    for statement in (
        """CREATE TABLE edits (
            id INTEGER PRIMARY KEY AUTOINCREMENT, etude TEXT NOT NULL,
            saved TEXT NOT NULL, wishes TEXT NOT NULL)""",
        "CREATE INDEX edits_by_etude ON edits (etude, id)",
        *_never_changes("edits"),
    ):
        database.execute(statement)


def _keep_attendance(database: sqlite3.Connection) -> None:
    """Note of each run whether somebody was there; of older ones we take it so."""
    database.execute(
        "ALTER TABLE runs ADD COLUMN is_attended INTEGER NOT NULL DEFAULT 1"
    )


def _keep_keys(database: sqlite3.Connection) -> None:
    """Keep runs and edits by the key of the etude; what is older has none."""
    for statement in (
        "ALTER TABLE runs ADD COLUMN etude_key TEXT NOT NULL DEFAULT ''",
        "ALTER TABLE edits ADD COLUMN etude_key TEXT NOT NULL DEFAULT ''",
        "CREATE INDEX runs_by_key ON runs (etude_key, etude, started_utc_s)",
        "CREATE INDEX edits_by_key ON edits (etude_key, etude, id)",
        "DROP INDEX runs_by_etude",
        "DROP INDEX edits_by_etude",
    ):
        database.execute(statement)


def _never_changes(*tables: str) -> Iterator[str]:
    """Give the triggers that make tables append-only."""
    for table in tables:
        for change in ("UPDATE", "DELETE"):
            yield (
                f"CREATE TRIGGER {table}_never_{change.lower()} "
                f"BEFORE {change} ON {table} "
                f"BEGIN SELECT RAISE(ABORT, 'what is written stays'); END"
            )


MIGRATIONS: Sequence[Callable[[sqlite3.Connection], None]] = (
    _keep_runs,
    _keep_edits,
    _keep_attendance,
    _keep_keys,
)
"""Each takes the file from its place in this list to the next, in one transaction."""

FAULT_KINDS = ", ".join(f"'{kind}'" for kind in sorted(FAULTS))
"""Marks that make a run not clean, as SQL has them."""

OF_ETUDE = "(etude_key = ? OR (etude_key = '' AND etude = ?))"
"""A row of an etude: by its key, or of old ones by its title."""

NAMED = "etude_key != '' AS is_keyed, iif(etude_key = '', etude, etude_key) AS name"
"""What a run's etude is known by."""

WAS_ATTENDED = """(
    is_attended OR is_clean IS NOT NULL
    OR EXISTS (SELECT 1 FROM standing_marks WHERE run = runs.id)
)"""
"""Somebody was there, or said how the run was."""

RUN_ROWS = f"""
    SELECT runs.*, is_completed, reached_bar, sent, worst_late_s, lasted_s,
           note, empties_at_scale,
           {WAS_ATTENDED} AS was_attended,
           COALESCE(is_completed, 0) AND COALESCE(
               is_clean,
               {WAS_ATTENDED} AND NOT EXISTS (
                   SELECT 1 FROM standing_marks
                   WHERE run = runs.id AND kind IN ({FAULT_KINDS})
               )
           ) AS is_clean_run
    FROM runs
    LEFT JOIN ends ON ends.run = runs.id
    LEFT JOIN words ON words.run = runs.id
"""
"""A run is clean if it was played to the end and the player says so, or was there
and says nothing and marked no fault."""


class RunLogFile:
    """A run log in a file; close it, or use it in a ``with`` block."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._one_at_a_time = RLock()
        with self._spoken():
            if path != IN_MEMORY:
                path.parent.mkdir(parents=True, exist_ok=True)
            self._database = sqlite3.connect(
                path, timeout=PATIENCE_S, isolation_level=None, check_same_thread=False
            )
            try:
                self._open()
            except BaseException:
                self._database.close()
                raise

    def __enter__(self) -> RunLogFile:
        """Give the log itself."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        traceback: TracebackType | None,
    ) -> None:
        """Close the file."""
        self.close()

    def close(self) -> None:
        """Close the file; what was written is safe already."""
        self._database.close()

    def begin(self, run: Run) -> int:
        """Keep a run from its first click on; give its number."""
        with self._transaction() as database:
            row = database.execute(
                """INSERT INTO runs (started, started_utc_s, etude, from_bar, to_bar,
                                     is_whole, bpm, plan, is_attended, etude_key)
                   VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id""",
                (
                    run.started.isoformat(),
                    run.started.timestamp(),
                    run.etude,
                    run.from_bar,
                    run.to_bar,
                    run.is_whole,
                    run.bpm,
                    run.plan,
                    run.is_attended,
                    run.etude_key,
                ),
            ).fetchone()
        return int(row["id"])

    def add_mark(self, run_id: int, mark: Mark) -> None:
        """Keep a mark of a run that is under way or waits for a word."""
        with self._transaction() as database:
            database.execute(
                """INSERT INTO marks (run, kind, bar, beat, at_s, by_whom, amount_s)
                   VALUES (?, ?, ?, ?, ?, ?, ?)""",
                (
                    run_id,
                    str(mark.kind),
                    mark.bar,
                    mark.beat,
                    mark.at,
                    mark.by,
                    mark.amount,
                ),
            )

    def take_back_mark(self, run_id: int) -> None:
        """Let the newest mark that still stands no longer count."""
        with self._transaction() as database:
            database.execute(
                """INSERT INTO marks_taken_back
                   SELECT MAX(id) FROM standing_marks WHERE run = ?
                   HAVING MAX(id) IS NOT NULL""",
                (run_id,),
            )

    def end(self, run_id: int, how: RunEnd) -> None:
        """Keep how a run came to its end."""
        with self._transaction() as database:
            database.execute(
                "INSERT INTO ends VALUES (?, ?, ?, ?, ?, ?)",
                (
                    run_id,
                    how.is_completed,
                    how.reached_bar,
                    how.sent,
                    how.worst_late,
                    how.lasted,
                ),
            )

    def finish(self, run_id: int, word: RunWord) -> Run:
        """Keep the word on a run; from now on it never changes."""
        with self._transaction() as database:
            database.execute(
                "INSERT INTO words VALUES (?, ?, ?, ?)",
                (run_id, word.is_clean, word.note, word.empties_at_scale),
            )
            return self._read_runs("WHERE runs.id = ?", (run_id,))[0]

    def list_runs(
        self, etude: EtudeKey | None = None, since: datetime | None = None
    ) -> tuple[Run, ...]:
        """List runs, oldest first: of one etude, or since a moment, or all."""
        clauses: list[str] = []
        values: list[Any] = []
        if etude is not None:
            clauses.append(OF_ETUDE)
            values += [etude.fingerprint, etude.title]
        if since is not None:
            clauses.append("started_utc_s >= ?")
            values.append(since.timestamp())
        where = f"WHERE {' AND '.join(clauses)}" if clauses else ""
        with self._spoken():
            return self._read_runs(where, values)

    def tally(self) -> Tallies:
        """Add up for the shelf what there is of every etude."""
        with self._spoken():
            rows = self._database.execute(
                f"""SELECT {NAMED}, COUNT(*) AS runs, MAX(started_utc_s) AS newest,
                           MAX(CASE WHEN is_clean_run AND is_whole THEN bpm END) AS best
                    FROM ({RUN_ROWS}) GROUP BY 1, 2"""
            ).fetchall()
            faults = self._database.execute(
                f"""SELECT {NAMED}, bar, COUNT(DISTINCT run) AS times
                    FROM standing_marks JOIN runs ON runs.id = run
                    WHERE kind IN ({FAULT_KINDS}) GROUP BY 1, 2, bar"""
            ).fetchall()
        bars: dict[tuple[bool, str], dict[int, int]] = {}
        for row in faults:
            bars.setdefault(_name(row), {})[row["bar"]] = row["times"]
        tallies = {
            _name(row): EtudeTally(
                runs=row["runs"],
                last_run=datetime.fromtimestamp(row["newest"], UTC).astimezone(),
                clean_bpm=row["best"],
                faults=bars.get(_name(row), {}),
            )
            for row in rows
        }
        return Tallies(
            by_key={name: told for (keyed, name), told in tallies.items() if keyed},
            by_title={
                name: told for (keyed, name), told in tallies.items() if not keyed
            },
        )

    def save_edits(self, etude: EtudeKey, edits: Edits) -> None:
        """Keep what the player insists on in an etude."""
        wishes = asdict(edits)
        wishes["locks"] = {
            "must": sorted(edits.locks.must),
            "must_not": sorted(edits.locks.must_not),
        }
        with self._transaction() as database:
            database.execute(
                """INSERT INTO edits (etude, etude_key, saved, wishes)
                   VALUES (?, ?, ?, ?)""",
                (
                    etude.title,
                    etude.fingerprint,
                    datetime.now(UTC).isoformat(),
                    json.dumps(wishes),
                ),
            )

    def read_edits(self, etude: EtudeKey) -> Edits:
        """Give what was kept last; nothing changed if nothing was."""
        with self._spoken():
            row = self._database.execute(
                f"SELECT wishes FROM edits WHERE {OF_ETUDE} ORDER BY id DESC LIMIT 1",
                (etude.fingerprint, etude.title),
            ).fetchone()
        if row is None:
            return Edits()
        wishes = json.loads(row["wishes"])
        return Edits(
            locks=Locks(
                must=frozenset(wishes["locks"]["must"]),
                must_not=frozenset(wishes["locks"]["must_not"]),
            ),
            positions=tuple((note, label) for note, label in wishes["positions"]),
            dial=wishes["dial"],
            dynamic_shift=wishes["dynamic_shift"],
        )

    def _open(self) -> None:
        """Set the file up, and bring it to this version."""
        database = self._database
        database.row_factory = sqlite3.Row
        database.execute("PRAGMA foreign_keys = ON")
        if not self._is_ours():
            raise RunLogError(
                f"{self._path} is no run log of the coach.",
                "Move it away, or name another folder with COACH_HOME.",
            )
        database.execute("PRAGMA journal_mode = WAL")
        database.execute("PRAGMA synchronous = FULL")
        if self._version() < len(MIGRATIONS):
            self._migrate()

    def _is_ours(self) -> bool:
        """Tell whether the file is a run log or still empty."""
        (mark,) = self._database.execute("PRAGMA application_id").fetchone()
        (tables,) = self._database.execute(
            "SELECT COUNT(*) FROM sqlite_schema"
        ).fetchone()
        return bool(mark == APPLICATION_ID or tables == 0)

    def _version(self) -> int:
        """Tell how far the file has come; refuse one that is ahead of us."""
        (version,) = self._database.execute("PRAGMA user_version").fetchone()
        if version > len(MIGRATIONS):
            raise RunLogError(
                f"{self._path} was written by a newer coach.", "Update the coach."
            )
        return int(version)

    def _migrate(self) -> None:
        """Bring the file to this version, a step in one transaction each."""
        for target in range(1, len(MIGRATIONS) + 1):
            with self._transaction() as database:
                if self._version() < target:
                    MIGRATIONS[target - 1](database)
                    database.execute(f"PRAGMA user_version = {target}")
                    database.execute(f"PRAGMA application_id = {APPLICATION_ID}")

    def _read_runs(self, where: str, values: Sequence[Any]) -> tuple[Run, ...]:
        """Read runs with their marks, oldest first."""
        rows = self._database.execute(
            f"{RUN_ROWS} {where} ORDER BY started_utc_s, runs.id", values
        ).fetchall()
        marks: dict[int, list[Mark]] = {row["id"]: [] for row in rows}
        for row in self._database.execute(
            f"""SELECT * FROM standing_marks
                WHERE run IN (SELECT runs.id FROM runs {where})
                ORDER BY at_s, id""",
            values,
        ):
            marks.setdefault(row["run"], []).append(_mark(row))
        return tuple(_run(row, marks[row["id"]]) for row in rows)

    @contextmanager
    def _transaction(self) -> Iterator[sqlite3.Connection]:
        """Do all or nothing; what is done is on the disk afterwards."""
        with self._spoken():
            self._database.execute("BEGIN IMMEDIATE")
            try:
                yield self._database
                self._database.execute("COMMIT")
            except BaseException:
                if self._database.in_transaction:
                    self._database.execute("ROLLBACK")
                raise

    @contextmanager
    def _spoken(self) -> Iterator[None]:
        """Say in the player's words what goes wrong with the file."""
        with self._one_at_a_time:
            try:
                yield
            except (sqlite3.Error, OSError) as error:
                raise _in_words(self._path, error) from error


def _in_words(path: Path, error: Exception) -> RunLogError:
    """Turn what SQLite or the system says into what a player can do."""
    code = getattr(error, "sqlite_errorcode", None)
    primary = None if code is None else code & 0xFF
    if primary in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return RunLogError(
            f"The run log {path} is in use by another program.",
            "Close the other one and try again.",
        )
    if primary in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return RunLogError(
            f"The run log {path} is damaged.",
            "Move it away and a new one is started; keep it, it may be mended.",
        )
    if primary == sqlite3.SQLITE_FULL:
        return RunLogError(
            f"The disk is full: the run log {path} cannot grow.", "Make room."
        )
    reason = getattr(error, "strerror", None) or str(error)
    return RunLogError(
        f"The run log {path} cannot be used: {reason}.",
        "Check the folder's rights, or name another with COACH_HOME.",
    )


def _name(row: sqlite3.Row) -> tuple[bool, str]:
    """Tell what an etude is known by: its key, or an old log's title."""
    return bool(row["is_keyed"]), row["name"]


def _run(row: sqlite3.Row, marks: Sequence[Mark]) -> Run:
    """Make a run of its row and its marks."""
    return Run(
        id=row["id"],
        started=datetime.fromisoformat(row["started"]),
        etude=row["etude"],
        from_bar=row["from_bar"],
        to_bar=row["to_bar"],
        is_whole=bool(row["is_whole"]),
        bpm=row["bpm"],
        plan=row["plan"],
        is_completed=bool(row["is_completed"]),
        is_clean=bool(row["is_clean_run"]),
        marks=tuple(marks),
        note=row["note"] or "",
        sent=row["sent"] or 0,
        worst_late=Seconds(row["worst_late_s"] or 0.0),
        reached_bar=row["reached_bar"],
        lasted=Seconds(row["lasted_s"] or 0.0),
        empties_at_scale=row["empties_at_scale"],
        is_attended=bool(row["was_attended"]),
        etude_key=row["etude_key"],
    )


def _mark(row: sqlite3.Row) -> Mark:
    """Make a mark of its row."""
    amount = row["amount_s"]
    return Mark(
        kind=MarkKind(row["kind"]),
        bar=row["bar"],
        beat=row["beat"],
        at=Seconds(row["at_s"]),
        by=row["by_whom"],
        amount=None if amount is None else Seconds(amount),
    )
