"""What the shelf needs is kept added up, so that nothing reads all runs for it.

The sums hold all runs up to the newest that has its word; whoever reads them adds the
few after it, which still wait for theirs or were cut off for good.  Whatever changes
more adds up all anew.
"""

from __future__ import annotations

import sqlite3
from datetime import UTC, datetime

from coach.edges.log.log_rows import NAMED, OLD_OF_ETUDE, RUN_ROWS, WAS_BEGUN
from coach.edges.log.log_writing import add_word
from coach.rehearsal.review.etude_tally import EtudeTally, Tallies
from coach.rehearsal.run.run import RunWord

NEWEST_WITH_WORD = "(SELECT COALESCE(MAX(run), 0) FROM words)"
"""Number of the newest run that has its word; the sums hold those up to it."""

SUMS = f"""SELECT player, {NAMED}, COUNT(*) AS runs, MAX(started_utc_s) AS newest,
                  MAX(CASE WHEN is_clean_run AND is_whole AND NOT room_beats
                       THEN bpm END) AS best
           FROM ({RUN_ROWS} WHERE asides.kind IS NULL AND {WAS_BEGUN}"""
"""Sums by etude, of the runs of which a condition and a ``GROUP BY`` follow."""

BY_ETUDE = "+player, is_keyed, name"
"""Each sum is of these.  The plus keeps SQLite from going through all runs in order of
their players (https://www.sqlite.org/optoverview.html, section 2)."""


def add_word_and_run(database: sqlite3.Connection, run_id: int, word: RunWord) -> None:
    """Keep the word on a run, and add it, with all before it that got none."""
    (before,) = database.execute(f"SELECT {NEWEST_WITH_WORD}").fetchone()
    add_word(database, run_id, word)
    if run_id <= before:
        add_up(database)
    else:
        _add(database, f"runs.id > {before} AND runs.id <= {run_id}")


def add_up(database: sqlite3.Connection) -> None:
    """Add up all runs anew."""
    database.execute("DELETE FROM etude_sums")
    _add(database, f"runs.id <= {NEWEST_WITH_WORD}")


def _add(database: sqlite3.Connection, which: str) -> None:
    """Add runs to the sums."""
    database.execute(
        f"""INSERT INTO etude_sums {SUMS} AND {which}) GROUP BY {BY_ETUDE}
            ON CONFLICT DO UPDATE SET runs = runs + excluded.runs,
                newest = MAX(newest, excluded.newest),
                best = MAX(COALESCE(best, excluded.best),
                           COALESCE(excluded.best, best))"""
    )


def read_tallies(database: sqlite3.Connection, player: str) -> Tallies:
    """Give the sums of every etude of a player."""
    now_s = datetime.now(UTC).timestamp()
    tallies = {
        _name(row): EtudeTally(
            runs=row["runs"],
            last_run=_at(
                row["newest"]
                if row["newest"] <= now_s
                else _newest_by(database, row, now_s)
            ),
            clean_bpm=row["best"],
        )
        for row in database.execute(
            f"""SELECT player, is_keyed, name, SUM(runs) AS runs,
                       MAX(newest) AS newest, MAX(best) AS best
                FROM (SELECT * FROM etude_sums WHERE player = :player UNION ALL
                      {SUMS} AND runs.id > {NEWEST_WITH_WORD}
                      AND +player = :player) GROUP BY {BY_ETUDE})
                GROUP BY 1, 2, 3""",
            {"player": player},
        )
    }
    return Tallies(
        by_key={name: told for (keyed, name), told in tallies.items() if keyed},
        by_title={name: told for (keyed, name), told in tallies.items() if not keyed},
    )


def _at(seconds: float) -> datetime:
    """Give a moment by the clock of this place."""
    return datetime.fromtimestamp(seconds, UTC).astimezone()


def _newest_by(database: sqlite3.Connection, row: sqlite3.Row, now_s: float) -> float:
    """Tell when an etude was played last where a wrong clock dated a run ahead.

    Where there is no other run, that was at some time up to now.
    """
    (newest,) = database.execute(
        f"""SELECT MAX(started_utc_s) FROM runs
            WHERE player = ? AND {"etude_key = ?" if row["is_keyed"] else OLD_OF_ETUDE}
            AND started_utc_s <= ? AND id NOT IN (SELECT run FROM standing_asides)""",
        (row["player"], row["name"], now_s),
    ).fetchone()
    return now_s if newest is None else float(newest)


def _name(row: sqlite3.Row) -> tuple[bool, str]:
    """Tell what an etude is known by: its key, or an old log's title."""
    return bool(row["is_keyed"]), row["name"]
