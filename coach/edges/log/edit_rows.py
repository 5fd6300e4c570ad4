"""Rows of the run log in which a player's edits of an etude are kept."""

from __future__ import annotations

import json
import sqlite3
from typing import Any

from coach.edges.log.log_rows import OF_ETUDE
from coach.planning.breathing.locks import Locks
from coach.planning.edits import Edits
from coach.score.etude_key import EtudeKey


def read_edits(database: sqlite3.Connection, etude: EtudeKey) -> Edits:
    """Read what was kept last; nothing changed if nothing was."""
    row = database.execute(
        f"SELECT wishes FROM edits WHERE {OF_ETUDE} ORDER BY id DESC LIMIT 1",
        (etude.fingerprint, etude.title),
    ).fetchone()
    if row is None:
        return Edits()
    wishes = json.loads(row["wishes"])
    return Edits(
        locks=_locks_from(wishes["locks"]),
        positions=tuple((note, label) for note, label in wishes["positions"]),
        dial=wishes["dial"],
        dynamic_shift=wishes["dynamic_shift"],
    )


def _locks_from(kept: dict[str, Any]) -> Locks:
    """Read locks; those of an earlier coach know nothing of left-out notes."""
    notes = {
        name: frozenset(kept.get(name, ()))
        for name in ("must", "must_not", "left_out", "kept")
    }
    return Locks(**notes, may_leave_out=kept.get("may_leave_out", True))
