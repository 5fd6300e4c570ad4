"""Rows of the run log in which a player's edits of an etude are kept.

The same plain values travel between logs.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from typing import Any

from coach.edges.log.log_rows import OF_ETUDE
from coach.planning.breathing.locks import Locks
from coach.planning.edits import Edits
from coach.score.etude_key import EtudeKey

NOTES = ("must", "must_not", "left_out", "kept")
"""Locks that are sets of notes."""


@dataclass(frozen=True, slots=True)
class SavedEdits:
    """What a player insists on in an etude, and since when."""

    etude: EtudeKey
    """Which etude."""

    player: str
    """Who; empty for the one that a laptop belongs to."""

    saved: str
    """When, in ISO 8601 and UTC, so that it sorts by time."""

    edits: Edits
    """What they insist on."""


def read_edits(database: sqlite3.Connection, etude: EtudeKey, player: str) -> Edits:
    """Read what a player kept last; nothing changed if nothing was."""
    row = database.execute(
        f"""SELECT wishes FROM edits WHERE {OF_ETUDE}
            AND (player = ? OR player IS NULL) ORDER BY saved DESC, id DESC LIMIT 1""",
        (etude.fingerprint, etude.title, player),
    ).fetchone()
    return Edits() if row is None else edits_from_dict(json.loads(row["wishes"]))


def add_edits(database: sqlite3.Connection, saved: SavedEdits) -> bool:
    """Keep edits; those that are there already are not kept twice."""
    return bool(
        database.execute(
            """INSERT INTO edits (etude, etude_key, player, saved, wishes)
               SELECT ?1, ?2, ?3, ?4, ?5 WHERE NOT EXISTS (
                   SELECT 1 FROM edits WHERE etude = ?1 AND etude_key = ?2
                   AND player = ?3 AND saved = ?4 AND wishes = ?5)""",
            (
                saved.etude.title,
                saved.etude.fingerprint,
                saved.player,
                saved.saved,
                json.dumps(edits_as_dict(saved.edits)),
            ),
        ).rowcount
    )


def list_newest_edits(database: sqlite3.Connection) -> Iterator[SavedEdits]:
    """Give what each player kept last of each etude; what is of nobody stays here."""
    for row in database.execute(
        """SELECT etude, etude_key, player, saved, wishes FROM edits AS one
           WHERE player IS NOT NULL AND id = (
               SELECT id FROM edits WHERE etude_key = one.etude_key
               AND etude = one.etude AND player = one.player
               ORDER BY saved DESC, id DESC LIMIT 1)
           ORDER BY id"""
    ):
        yield SavedEdits(
            etude=EtudeKey(row["etude"], row["etude_key"]),
            player=row["player"],
            saved=row["saved"],
            edits=edits_from_dict(json.loads(row["wishes"])),
        )


def edits_as_dict(edits: Edits) -> dict[str, Any]:
    """Lay edits out as plain values."""
    wishes = asdict(edits)
    wishes["locks"] = {
        name: sorted(value) if isinstance(value, frozenset) else value
        for name, value in wishes["locks"].items()
    }
    return wishes


def edits_from_dict(told: Mapping[str, Any]) -> Edits:
    """Make edits of plain values; those of an earlier coach know less.

    Raises
    ------
    ValueError, TypeError, KeyError
        If something is nothing that a player could ask for.
    """
    locks = told["locks"]
    dial = told["dial"]
    return Edits(
        locks=Locks(
            **{
                name: frozenset(int(note) for note in locks.get(name, ()))
                for name in NOTES
            },
            may_leave_out=bool(locks.get("may_leave_out", True)),
        ),
        positions=tuple((int(note), str(label)) for note, label in told["positions"]),
        dial=None if dial is None else float(dial),
        dynamic_shift=float(told["dynamic_shift"]),
    )
