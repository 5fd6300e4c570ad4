"""Rows added to the run log: of a run as it goes, or of one from another log."""

from __future__ import annotations

import json
import sqlite3
from datetime import UTC, datetime
from typing import Literal
from uuid import uuid4

from coach.edges.log.evidence_rows import pack_evidence
from coach.rehearsal.run.evidence import Evidence
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.run import Run, RunEnd, RunWord, SetAside

PLACES = 3
"""Decimals of seconds in which two marks are told apart: nobody presses faster."""

TakenIn = Literal["new", "went on", "known", "edits", "known edits", "left out"]
"""A run that was not here, one of which more is known now, one that was here; edits
that were not here, or were; what a newer coach has written."""


def add_run(database: sqlite3.Connection, run: Run) -> int:
    """Add a run as it begins; give its number."""
    how = run.how
    row = database.execute(
        """INSERT INTO runs (started, started_utc_s, etude, from_bar, to_bar,
                             is_whole, bpm, plan, is_attended, etude_key,
                             is_clean_unsaid, uid, player, instrument, capacity_l,
                             dynamic_shift, click, guide, day_word, left_out,
                             room_beats)
           VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 0, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
           RETURNING id""",
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


def add_mark(database: sqlite3.Connection, run_id: int, mark: Mark) -> None:
    """Add a mark of a run that is not finished."""
    database.execute(
        """INSERT INTO marks (run, kind, bar, beat, at_s, by_whom, amount_s,
                              time_through) VALUES (?, ?, ?, ?, ?, ?, ?, ?)""",
        (
            run_id,
            str(mark.kind),
            mark.bar,
            mark.beat,
            mark.at,
            mark.by,
            mark.amount,
            mark.time,
        ),
    )


def add_end(database: sqlite3.Connection, run_id: int, how: RunEnd) -> None:
    """Add how a run came to its end."""
    database.execute(
        """INSERT INTO ends (run, is_completed, reached_bar, sent, worst_late_s,
                             lasted_s, loud_s) VALUES (?, ?, ?, ?, ?, ?, ?)""",
        (
            run_id,
            how.is_completed,
            how.reached_bar,
            how.sent,
            how.worst_late,
            how.lasted,
            how.loud,
        ),
    )


def add_word(database: sqlite3.Connection, run_id: int, word: RunWord) -> None:
    """Add the word on a run, and what it asked of the lungs."""
    database.execute(
        "INSERT INTO words (run, is_clean, note) VALUES (?, ?, ?)",
        (run_id, word.is_clean, word.note),
    )
    if word.evidence is not None:
        database.execute(
            "INSERT INTO evidence VALUES (?, ?)",
            (run_id, pack_evidence(word.evidence)),
        )


def add_later_word(
    database: sqlite3.Connection, run_id: int, *, is_clean: bool
) -> None:
    """Add the player's word on a run that is over; it goes before any other."""
    database.execute(
        "INSERT INTO later_words (run, is_clean, saved) VALUES (?, ?, ?)",
        (run_id, is_clean, datetime.now(UTC).isoformat()),
    )


def add_aside(database: sqlite3.Connection, run_id: int, why: SetAside | None) -> None:
    """Add that a run is set aside, or with None that it counts again."""
    database.execute(
        "INSERT INTO asides (run, kind, saved) VALUES (?, ?, ?)",
        (run_id, why, datetime.now(UTC).isoformat()),
    )


def take_in(
    database: sqlite3.Connection, run: Run, evidence: Evidence | None
) -> TakenIn:
    """Add a run of another log, or what is not known here of one that came before."""
    known = database.execute(
        """SELECT id, words.run IS NOT NULL AS is_finished,
                  ends.run IS NOT NULL AS is_ended, asides.kind AS aside,
                  COALESCE(later.is_clean, words.is_clean) AS called_clean
           FROM runs LEFT JOIN words ON words.run = id LEFT JOIN ends ON ends.run = id
           LEFT JOIN standing_words AS later ON later.run = id
           LEFT JOIN standing_asides AS asides ON asides.run = id
           WHERE uid = ?""",
        (run.uid,),
    ).fetchone()
    run_id = known["id"] if known else add_run(database, run)
    taken: TakenIn = "known" if known else "new"
    is_ended = known is not None and bool(known["is_ended"])
    word = RunWord(run.called_clean, run.note, evidence)
    is_as_here = is_ended and word in (RunWord(), RunWord(known["called_clean"]))
    if not is_as_here and not (known and known["is_finished"]):
        if _take_in_rest(database, run_id, run, evidence, is_ended=is_ended) and known:
            taken = "went on"
    elif known["called_clean"] is None and run.called_clean is not None:
        add_later_word(database, run_id, is_clean=run.called_clean)
        taken = "went on"
    if run.set_aside and not (known and known["aside"]):
        add_aside(database, run_id, run.set_aside)
        taken = "went on" if known else taken
    return taken


def _take_in_rest(
    database: sqlite3.Connection,
    run_id: int,
    run: Run,
    evidence: Evidence | None,
    *,
    is_ended: bool,
) -> bool:
    """Add marks that are not here, and end and word of a run that was over there."""
    there = {
        (row["kind"], row["bar"], row["beat"], round(row["at_s"], PLACES))
        for row in database.execute("SELECT * FROM marks WHERE run = ?", (run_id,))
    }
    for mark in run.marks:
        if (str(mark.kind), mark.bar, mark.beat, round(mark.at, PLACES)) not in there:
            add_mark(database, run_id, mark)
    is_over = run.is_completed or run.lasted > 0 or bool(run.note)
    if is_over and not is_ended:
        how = RunEnd(
            is_completed=run.is_completed,
            reached_bar=run.reached_bar,
            sent=run.sent,
            worst_late=run.worst_late,
            lasted=run.lasted,
            loud=run.loud,
        )
        add_end(database, run_id, how)
    if is_over:
        add_word(database, run_id, RunWord(run.called_clean, run.note, evidence))
    return is_over
