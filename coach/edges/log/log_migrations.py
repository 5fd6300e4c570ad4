"""How the run log grew: its tables, and each step from an older log to this one.

Rows are only ever added: triggers refuse any change, and any mark or word on a run
that is finished.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterator, Sequence
from uuid import NAMESPACE_OID, uuid5

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


def _keep_evidence(database: sqlite3.Connection) -> None:
    """Make the table of what runs asked of the lungs; older runs have none."""
    for statement in (
        """CREATE TABLE evidence (
            run INTEGER PRIMARY KEY REFERENCES runs, played BLOB NOT NULL)""",
        "CREATE INDEX runs_by_start ON runs (started_utc_s)",
        *_never_changes("evidence"),
    ):
        database.execute(statement)


def _keep_silence(database: sqlite3.Connection) -> None:
    """Note of each run whether silence calls it clean: of older ones it does."""
    database.execute(
        "ALTER TABLE runs ADD COLUMN is_clean_unsaid INTEGER NOT NULL DEFAULT 1"
    )


def _keep_playing(database: sqlite3.Connection) -> None:
    """Note of each run who played, with what and how; let a run be set aside."""
    for column in (
        "uid TEXT NOT NULL DEFAULT ''",
        "player TEXT NOT NULL DEFAULT ''",
        "instrument TEXT NOT NULL DEFAULT ''",
        "capacity_l REAL",
        "dynamic_shift REAL NOT NULL DEFAULT 0",
        "click TEXT NOT NULL DEFAULT 'on'",
        "guide INTEGER NOT NULL DEFAULT 0",
        "day_word TEXT NOT NULL DEFAULT ''",
        "left_out TEXT NOT NULL DEFAULT '[]'",
        "room_beats REAL NOT NULL DEFAULT 0",
    ):
        database.execute(f"ALTER TABLE runs ADD COLUMN {column}")
    database.execute("DROP TRIGGER runs_never_update")
    database.create_function("name_of_old", -1, name_of_old, deterministic=True)
    for statement in (
        """UPDATE runs SET uid = name_of_old(id, started_utc_s, etude, from_bar, to_bar,
                                           bpm, plan)""",
        """CREATE TRIGGER runs_never_update BEFORE UPDATE ON runs
            BEGIN SELECT RAISE(ABORT, 'what is written stays'); END""",
        "CREATE UNIQUE INDEX runs_by_uid ON runs (uid)",
        "CREATE INDEX runs_by_player ON runs (player, started_utc_s)",
        "CREATE INDEX runs_of_player ON runs (player, etude_key, started_utc_s)",
        """CREATE TABLE asides (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            run INTEGER NOT NULL REFERENCES runs, kind TEXT, saved TEXT NOT NULL)""",
        "CREATE INDEX asides_by_run ON asides (run, id)",
        """CREATE VIEW standing_asides AS SELECT run, kind FROM asides AS one
            WHERE kind IS NOT NULL
            AND id = (SELECT MAX(id) FROM asides WHERE run = one.run)""",
        *_never_changes("asides"),
    ):
        database.execute(statement)


def _keep_sums(database: sqlite3.Connection) -> None:
    """Make the tables of what the shelf needs, added up of all runs.

    That by bars is filled by an earlier coach alone, which may open this log too.
    """
    database.execute(
        """CREATE TABLE etude_sums (
            player TEXT, is_keyed INTEGER, name TEXT, runs INTEGER, newest REAL,
            best REAL, PRIMARY KEY (player, is_keyed, name))"""
    )
    database.execute(
        """CREATE TABLE bar_sums (
            player TEXT, is_keyed INTEGER, name TEXT, bar INTEGER, runs INTEGER,
            PRIMARY KEY (player, is_keyed, name, bar))"""
    )


def _keep_loud_time(database: sqlite3.Connection) -> None:
    """Note of each run how long it was loud; of older ones that is not known."""
    database.execute("ALTER TABLE ends ADD COLUMN loud_s REAL")


def _keep_whose_edits(database: sqlite3.Connection) -> None:
    """Keep edits by player; what is older was everybody's, and is of nobody."""
    database.execute("ALTER TABLE edits ADD COLUMN player TEXT")


def _keep_time_through(database: sqlite3.Connection) -> None:
    """Note of each mark which time through; of older ones the first is taken."""
    database.execute(
        "ALTER TABLE marks ADD COLUMN time_through INTEGER NOT NULL DEFAULT 1"
    )


def _keep_later_words(database: sqlite3.Connection) -> None:
    """Let a run that is over get its word, or another one; the newest stands."""
    for statement in (
        """CREATE TABLE later_words (
            id INTEGER PRIMARY KEY AUTOINCREMENT,
            run INTEGER NOT NULL REFERENCES runs, is_clean INTEGER NOT NULL,
            saved TEXT NOT NULL)""",
        "CREATE INDEX later_words_by_run ON later_words (run, id)",
        """CREATE VIEW standing_words AS SELECT run, is_clean FROM later_words AS one
            WHERE id = (SELECT MAX(id) FROM later_words WHERE run = one.run)""",
        *_never_changes("later_words"),
    ):
        database.execute(statement)


def name_of_old(*told: str | float) -> str:
    """Name a run that has no name: alike in every copy of a log."""
    return uuid5(NAMESPACE_OID, repr(told)).hex


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
    _keep_evidence,
    _keep_silence,
    _keep_playing,
    _keep_sums,
    _keep_loud_time,
    _keep_whose_edits,
    _keep_time_through,
    _keep_later_words,
)
"""Each takes the file from its place in this list to the next, in one transaction."""
