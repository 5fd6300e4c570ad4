"""The run log: what the player rehearsed, written as it happens and never changed.

Every call is one transaction and is safe on the disk when it comes back.
"""

from __future__ import annotations

import json
from collections.abc import Container
from dataclasses import asdict
from datetime import UTC, datetime
from pathlib import Path
from types import TracebackType
from typing import Any
from uuid import uuid4

from coach.edges.log.evidence_rows import pack_evidence
from coach.edges.log.log_file import LogFile
from coach.edges.log.log_rows import (
    OF_ETUDE,
    alike,
    read_newest,
    read_played,
    read_played_ids,
    read_runs,
    read_tallies,
)
from coach.planning.breathing.locks import Locks
from coach.planning.edits import Edits
from coach.rehearsal.review.etude_tally import Tallies
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.playing import Like
from coach.rehearsal.run.run import PlayedRun, Run, RunEnd, RunWord, SetAside
from coach.score.etude_key import EtudeKey


class RunLogFile:
    """A run log in a file; close it, or use it in a ``with`` block."""

    def __init__(self, path: Path) -> None:
        self._file = LogFile(path)

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
        self._file.close()

    def begin(self, run: Run) -> int:
        """Keep a run from its first click on; give its number."""
        how = run.how
        with self._file.transaction() as database:
            row = database.execute(
                """INSERT INTO runs (started, started_utc_s, etude, from_bar, to_bar,
                                     is_whole, bpm, plan, is_attended, etude_key,
                                     is_clean_unsaid, uid, player, instrument,
                                     capacity_l, dynamic_shift, click, guide, day_word,
                                     left_out, room_beats)
                   VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 0, ?, ?, ?, ?, ?, ?, ?, ?, ?,
                           ?) RETURNING id""",
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
                    run.uid or uuid4().hex,
                    how.player,
                    how.instrument,
                    how.capacity_l,
                    how.dynamic_shift,
                    how.click,
                    how.guide,
                    how.word,
                    json.dumps(how.left_out),
                    how.room_beats,
                ),
            ).fetchone()
        return int(row["id"])

    def add_mark(self, run_id: int, mark: Mark) -> None:
        """Keep a mark of a run that is under way or waits for a word."""
        with self._file.transaction() as database:
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
        with self._file.transaction() as database:
            database.execute(
                """INSERT INTO marks_taken_back
                   SELECT MAX(id) FROM standing_marks WHERE run = ?
                   HAVING MAX(id) IS NOT NULL""",
                (run_id,),
            )

    def end(self, run_id: int, how: RunEnd) -> None:
        """Keep how a run came to its end."""
        with self._file.transaction() as database:
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
        with self._file.transaction() as database:
            database.execute(
                "INSERT INTO words (run, is_clean, note) VALUES (?, ?, ?)",
                (run_id, word.is_clean, word.note),
            )
            if word.evidence is not None:
                database.execute(
                    "INSERT INTO evidence VALUES (?, ?)",
                    (run_id, pack_evidence(word.evidence)),
                )
            return read_runs(database, "WHERE runs.id = ?", (run_id,))[0]

    def set_aside(self, run_id: int, why: SetAside | None) -> None:
        """Let a run count for nothing from now on, or with None count again."""
        with self._file.transaction() as database:
            database.execute(
                "INSERT INTO asides (run, kind, saved) VALUES (?, ?, ?)",
                (run_id, why, datetime.now(UTC).isoformat()),
            )

    def list_runs(
        self,
        etude: EtudeKey | None = None,
        since: datetime | None = None,
        like: Like | None = None,
        most: int | None = None,
    ) -> tuple[Run, ...]:
        """List runs, oldest first: all, or of an etude, since a moment, the newest.

        Of runs like others, those that are set aside are left out.
        """
        if etude is not None and like is not None and most is not None:
            with self._file.spoken():
                return read_newest(self._file.database, etude, like, most)
        clauses: list[str] = []
        values: list[Any] = []
        if etude is not None:
            clauses.append(OF_ETUDE)
            values += [etude.fingerprint, etude.title]
        if since is not None:
            clauses.append("started_utc_s >= ?")
            values.append(since.timestamp())
        if like is not None:
            own_clauses, own_values = alike(like)
            clauses += own_clauses
            values += own_values
        where = f"WHERE {' AND '.join(clauses)}" if clauses else ""
        with self._file.spoken():
            return read_runs(self._file.database, where, values)

    def list_played_ids(
        self, most: int, like: Like, since: datetime | None = None
    ) -> tuple[int, ...]:
        """Give the numbers of the newest like runs with evidence, oldest first."""
        with self._file.spoken():
            return read_played_ids(self._file.database, most, like, since)

    def list_played(
        self,
        most: int,
        like: Like,
        since: datetime | None = None,
        known: Container[int] = (),
    ) -> tuple[PlayedRun, ...]:
        """List the newest like runs that have evidence and are not known yet."""
        with self._file.spoken():
            ids = read_played_ids(self._file.database, most, like, since)
            fresh = [number for number in ids if number not in known]
            return read_played(self._file.database, fresh)

    def tally(self) -> Tallies:
        """Add up for the shelf what there is of every etude."""
        with self._file.spoken():
            return read_tallies(self._file.database)

    def save_edits(self, etude: EtudeKey, edits: Edits) -> None:
        """Keep what the player insists on in an etude."""
        wishes = asdict(edits)
        wishes["locks"] = {
            name: sorted(value) if isinstance(value, frozenset) else value
            for name, value in wishes["locks"].items()
        }
        with self._file.transaction() as database:
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
        with self._file.spoken():
            row = self._file.database.execute(
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
