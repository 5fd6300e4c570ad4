"""Rows of the run log, read as runs and as what the shelf is told of an etude."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Sequence
from datetime import datetime
from typing import Any

from coach.edges.log.evidence_rows import unpack_evidence
from coach.rehearsal.run.evidence import Evidence
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import FAULTS, MarkKind
from coach.rehearsal.run.playing import Playing
from coach.rehearsal.run.run import PlayedRun, Run
from coach.score.tempo import Seconds

FAULT_KINDS = ", ".join(f"'{kind}'" for kind in sorted(FAULTS))
"""Marks that make a run not clean, as SQL has them."""

KNOWN_KINDS = frozenset(kind.value for kind in MarkKind)
"""Marks of any other kind are of a newer coach."""

OLD_OF_ETUDE = "etude_key = '' AND etude = ?"
"""A row of an etude in an old log: by its title."""

OF_ETUDE = f"(etude_key = ? OR ({OLD_OF_ETUDE}))"
"""A row of an etude: by its key, or of old ones by its title."""

NAMED = "etude_key != '' AS is_keyed, iif(etude_key = '', etude, etude_key) AS name"
"""What a run's etude is known by."""

IS_CLEAN = "COALESCE(later.is_clean, words.is_clean)"
"""The player's word on a run, also one that came later; NULL where there is none."""

WAS_ATTENDED = f"""(
    is_attended OR {IS_CLEAN} IS NOT NULL
    OR EXISTS (SELECT 1 FROM standing_marks WHERE run = runs.id)
)"""
"""Somebody was there, or said how the run was."""

WAS_BEGUN = """NOT EXISTS (
    SELECT 1 FROM ends AS ended LEFT JOIN words AS said ON said.run = ended.run
    WHERE ended.run = runs.id AND NOT ended.is_completed AND ended.reached_bar IS NULL
    AND ended.lasted_s = 0 AND said.is_clean IS NULL AND COALESCE(said.note, '') = ''
    AND NOT EXISTS (SELECT 1 FROM standing_marks WHERE run = runs.id)
)"""
"""It is no count-in that was stopped before the first note: of that nothing is told."""

RUN_ROWS = f"""
    SELECT runs.*, is_completed, reached_bar, sent, worst_late_s, lasted_s, loud_s,
           note, {IS_CLEAN} AS called_clean, asides.kind AS aside,
           {WAS_ATTENDED} AS was_attended,
           CASE
               WHEN {IS_CLEAN} IS NOT NULL
                   THEN {IS_CLEAN} AND COALESCE(is_completed, 0)
               WHEN EXISTS (
                   SELECT 1 FROM standing_marks
                   WHERE run = runs.id AND kind IN ({FAULT_KINDS})
               ) THEN 0
               WHEN NOT {WAS_ATTENDED} THEN NULL
               WHEN NOT COALESCE(is_completed, 0) THEN 0
               WHEN is_clean_unsaid THEN 1
           END AS is_clean_run
    FROM runs
    LEFT JOIN ends ON ends.run = runs.id
    LEFT JOIN words ON words.run = runs.id
    LEFT JOIN standing_words AS later ON later.run = runs.id
    LEFT JOIN standing_asides AS asides ON asides.run = runs.id
"""
"""A run is clean if it was played to the end and the player says so, not clean if a
word, a mark or its end says that, and neither where nothing does.  In the rows of an
older log silence to the end means clean."""


WHAT_IS_READ = (
    RUN_ROWS,
    """SELECT run, kind, bar, beat, at_s, by_whom, amount_s, time_through
       FROM standing_marks""",
    "SELECT run, played FROM evidence",
    "SELECT etude, etude_key, player, saved, wishes FROM edits",
)
"""All that this coach reads of a log, of whatever version."""


def read_runs(
    database: sqlite3.Connection, where: str, values: Sequence[Any]
) -> tuple[Run, ...]:
    """Read runs with their marks, oldest first."""
    rows = database.execute(
        f"{RUN_ROWS} {where} ORDER BY started_utc_s, runs.id", values
    ).fetchall()
    marks: dict[int, list[Mark]] = {row["id"]: [] for row in rows}
    for row in database.execute(
        f"""SELECT * FROM standing_marks
            WHERE run IN (SELECT runs.id FROM runs {where})
            ORDER BY at_s, id""",
        values,
    ):
        if row["kind"] in KNOWN_KINDS:
            marks.setdefault(row["run"], []).append(_mark(row))
    return tuple(_run(row, marks[row["id"]]) for row in rows)


def read_played(
    database: sqlite3.Connection, ids: Sequence[int]
) -> tuple[PlayedRun, ...]:
    """Read runs with their evidence, oldest first."""
    marks = ", ".join("?" * len(ids))
    played = {
        row["run"]: unpack_evidence(row["played"])
        for row in database.execute(
            f"SELECT * FROM evidence WHERE run IN ({marks})", ids
        )
    }
    runs = read_runs(database, f"WHERE runs.id IN ({marks})", ids)
    return tuple(PlayedRun(run, played[run.id]) for run in runs if run.id in played)


def read_evidence(database: sqlite3.Connection, run_id: int) -> Evidence | None:
    """Read what a run asked of the lungs; None where that was not kept."""
    row = database.execute(
        "SELECT played FROM evidence WHERE run = ?", (run_id,)
    ).fetchone()
    return None if row is None else unpack_evidence(row["played"])


def count_late_words(database: sqlite3.Connection) -> int:
    """Count the words that were said of a run on a day after it."""
    said = database.execute(
        """SELECT saved, started FROM later_words
           JOIN runs ON runs.id = later_words.run"""
    )
    return sum(
        datetime.fromisoformat(row["saved"]).astimezone().date()
        > datetime.fromisoformat(row["started"]).date()
        for row in said
    )


def read_players(database: sqlite3.Connection) -> list[str]:
    """Name everybody who has runs, a step along the index for each."""
    names = []
    (name,) = database.execute("SELECT MIN(player) FROM runs").fetchone()
    while name is not None:
        names.append(name)
        (name,) = database.execute(
            "SELECT MIN(player) FROM runs WHERE player > ?", (name,)
        ).fetchone()
    return names


def _run(row: sqlite3.Row, marks: Sequence[Mark]) -> Run:
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
        is_clean=_yes_or_no(row["is_clean_run"]),
        called_clean=_yes_or_no(row["called_clean"]),
        marks=tuple(marks),
        note=row["note"] or "",
        sent=row["sent"] or 0,
        worst_late=Seconds(row["worst_late_s"] or 0.0),
        reached_bar=row["reached_bar"],
        lasted=Seconds(row["lasted_s"] or 0.0),
        loud=None if row["loud_s"] is None else Seconds(row["loud_s"]),
        is_attended=bool(row["was_attended"]),
        etude_key=row["etude_key"],
        how=_playing(row),
        uid=row["uid"],
        set_aside=row["aside"],
    )


def _yes_or_no(told: int | None) -> bool | None:
    """Read a yes or a no; None where neither was said."""
    return None if told is None else bool(told)


def _playing(row: sqlite3.Row) -> Playing:
    """Read who played a run, with what and how."""
    return Playing(
        player=row["player"],
        instrument=row["instrument"],
        capacity_l=row["capacity_l"],
        dynamic_shift=row["dynamic_shift"],
        click=row["click"],
        guide=bool(row["guide"]),
        word=row["day_word"],
        left_out=tuple(json.loads(row["left_out"])),
        room_beats=row["room_beats"],
    )


def _mark(row: sqlite3.Row) -> Mark:
    amount = row["amount_s"]
    return Mark(
        kind=MarkKind(row["kind"]),
        bar=row["bar"],
        beat=row["beat"],
        at=Seconds(row["at_s"]),
        by=row["by_whom"],
        amount=None if amount is None else Seconds(amount),
        time=row["time_through"],
    )
