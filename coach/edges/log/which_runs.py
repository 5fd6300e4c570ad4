"""Which runs of the log are meant: of an etude, of a player, like others, newest."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from coach.edges.log.log_rows import OF_ETUDE, OLD_OF_ETUDE, WAS_BEGUN, read_runs
from coach.rehearsal.run.playing import Like
from coach.rehearsal.run.run import Run
from coach.score.etude_key import EtudeKey

LONG_AGO_S = float("-inf")
"""Before any run, in seconds as the log counts them."""


@dataclass(frozen=True, slots=True)
class Which:
    """Which runs are asked for; what is None makes no difference.

    Count-ins that were stopped before the first note are never among them.
    """

    etude: EtudeKey | None = None
    """Of this etude."""

    since: datetime | None = None
    """Begun at this moment or later."""

    like: Like | None = None
    """Held against each other, and not set aside."""

    player: str | None = None
    """Of this player."""

    def in_sql(self) -> tuple[str, list[Any]]:
        """Give the condition and its values."""
        clauses: list[str] = [WAS_BEGUN]
        values: list[Any] = []
        if self.etude is not None:
            clauses.append(OF_ETUDE)
            values += [self.etude.fingerprint, self.etude.title]
        if self.since is not None:
            clauses.append("started_utc_s >= ?")
            values.append(self.since.timestamp())
        if self.player is not None:
            clauses.append("player = ?")
            values.append(self.player)
        if self.like is not None:
            own_clauses, own_values = alike(self.like)
            clauses += own_clauses
            values += own_values
        return " AND ".join(clauses), values


def read_which(
    database: sqlite3.Connection, which: Which, most: int | None = None
) -> tuple[Run, ...]:
    """Read runs, or the newest of them, oldest first."""
    condition, values = which.in_sql()
    if most is None:
        return read_runs(database, f"WHERE {condition}", values)
    newest = f"""SELECT id FROM runs WHERE {condition}
                 ORDER BY started_utc_s DESC, id DESC LIMIT ?"""
    return read_runs(database, f"WHERE runs.id IN ({newest})", (*values, most))


def count_which(database: sqlite3.Connection, which: Which) -> int:
    """Count runs."""
    condition, values = which.in_sql()
    (count,) = database.execute(
        f"SELECT COUNT(*) FROM runs WHERE {condition}", values
    ).fetchone()
    return int(count)


def read_titles(
    database: sqlite3.Connection, player: str, since: datetime
) -> tuple[str, ...]:
    """Name what a player has rehearsed since a moment, the newest first."""
    rows = database.execute(
        f"""SELECT etude FROM runs WHERE player = ? AND started_utc_s >= ?
           AND {WAS_BEGUN} AND runs.id NOT IN (SELECT run FROM standing_asides)
           GROUP BY etude ORDER BY MAX(started_utc_s) DESC""",
        (player, since.timestamp()),
    )
    return tuple(row["etude"] for row in rows)


def alike(like: Like) -> tuple[list[str], list[Any]]:
    """Tell in SQL which runs count beside others that are like them."""
    clauses = [
        "player = ?",
        "instrument IN (?, '')",
        "day_word = ?",
        "runs.id NOT IN (SELECT run FROM standing_asides)",
    ]
    values: list[Any] = [like.player, like.instrument, like.word]
    if like.dynamic_shift is not None:
        clauses.append("dynamic_shift = ?")
        values.append(like.dynamic_shift)
    if like.guide is not None:
        clauses.append("guide = ?")
        values.append(like.guide)
    return clauses, values


def read_played_ids(
    database: sqlite3.Connection, most: int, like: Like, since: datetime | None
) -> tuple[int, ...]:
    """Give the numbers of the newest like runs with evidence, oldest first.

    What a clock that was wrong dated ahead tells of no day that has been.
    """
    clauses, values = alike(like)
    span_s = (since.timestamp() if since else LONG_AGO_S, datetime.now(UTC).timestamp())
    rows = database.execute(
        f"""SELECT runs.id FROM runs CROSS JOIN evidence ON evidence.run = runs.id
            WHERE {" AND ".join(clauses)} AND started_utc_s BETWEEN ? AND ?
            ORDER BY started_utc_s DESC, runs.id DESC LIMIT ?""",
        (*values, *span_s, most),
    ).fetchall()
    return tuple(row["id"] for row in reversed(rows))


def read_newest(
    database: sqlite3.Connection, etude: EtudeKey, like: Like, most: int
) -> tuple[Run, ...]:
    """Read the newest like runs of an etude, oldest first."""
    clauses, values = alike(like)
    condition = " AND ".join([*clauses, WAS_BEGUN])
    named = (("etude_key = ?", etude.fingerprint), (OLD_OF_ETUDE, etude.title))
    newest = " UNION ALL ".join(
        f"""SELECT id FROM (SELECT id FROM runs WHERE {of_etude} AND {condition}
                            ORDER BY started_utc_s DESC, id DESC LIMIT ?)"""
        for of_etude, _ in named
    )
    bound = [one for _, name in named for one in (name, *values, most)]
    return read_runs(database, f"WHERE runs.id IN ({newest})", bound)[-most:]


def read_other_ways(
    database: sqlite3.Connection, etude: EtudeKey, like: Like
) -> list[tuple[Like, int]]:
    """Count a player's runs of an etude that are unlike, by how they were played.

    What they have in common with the like ones is left empty.
    """
    clauses, values = alike(like)
    rows = database.execute(
        f"""SELECT instrument, day_word, dynamic_shift, guide, COUNT(*) AS runs
            FROM runs JOIN ends ON ends.run = runs.id
            WHERE {OF_ETUDE} AND player = ? AND NOT ({" AND ".join(clauses)})
            AND (is_completed OR reached_bar IS NOT NULL)
            AND runs.id NOT IN (SELECT run FROM standing_asides)
            GROUP BY 1, 2, 3, 4 ORDER BY runs DESC, day_word, instrument""",
        (etude.fingerprint, etude.title, like.player, *values),
    )
    return [
        (
            Like(
                like.player,
                "" if row["instrument"] == like.instrument else row["instrument"],
                row["day_word"],
                row["dynamic_shift"],
                bool(row["guide"]),
            ),
            row["runs"],
        )
        for row in rows
    ]
