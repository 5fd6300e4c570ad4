"""Logs of older coaches are brought up to date; what they hold never changes."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from coach.edges.log.log_migrations import MIGRATIONS
from coach.edges.log.run_log import RunLogFile
from coach.errors import RunLogError
from coach.planning.edits import Edits
from coach.rehearsal.run.run import PlayedRun, RunWord
from coach.score.etude_key import EtudeKey
from tests.edges.log.kept_runs import MINE, OUT, PLAYED, RIVER, TO_THE_END, finish, run


@pytest.mark.parametrize(
    "table",
    [
        "runs",
        "ends",
        "words",
        "marks",
        "marks_taken_back",
        "edits",
        "evidence",
        "asides",
        "later_words",
    ],
)
@pytest.mark.parametrize("change", ["DELETE FROM {}", "UPDATE {} SET rowid = 9"])
def test_no_row_is_ever_changed(tmp_path: Path, table: str, change: str) -> None:
    path = tmp_path / "log.db"
    with RunLogFile(path) as log:
        run_id = log.begin(run())
        log.add_mark(run_id, OUT)
        log.take_back_mark(run_id, 0)
        log.end(run_id, TO_THE_END)
        log.finish(run_id, RunWord(evidence=PLAYED))
        log.save_edits(RIVER, Edits(dial=0.5))
        log.set_aside(run_id, "not-me")
        log.say_later(run_id, is_clean=True)
    by_hand = sqlite3.connect(path)
    with pytest.raises(sqlite3.IntegrityError, match="what is written stays"):
        by_hand.execute(change.format(table))
    by_hand.close()


@pytest.mark.parametrize("version", range(len(MIGRATIONS)))
def test_an_older_log_is_brought_up_to_date_and_keeps_its_runs(
    tmp_path: Path, version: int
) -> None:
    path = tmp_path / "log.db"
    by_hand = sqlite3.connect(path, isolation_level=None)
    for migrate in MIGRATIONS[:version]:
        migrate(by_hand)
    if version:
        by_hand.execute(f"PRAGMA user_version = {version}")
        by_hand.execute(f"PRAGMA application_id = {0x436F6163}")
        by_hand.execute(
            "INSERT INTO runs (id, started, started_utc_s, etude, from_bar, to_bar,"
            " is_whole, bpm, plan) VALUES "
            "(5, '2025-03-03T09:00:00+01:00', 1.0, 'River', 1, 4, 0, 72, '')"
        )
    if version > 1:
        by_hand.execute(
            "INSERT INTO edits (etude, saved, wishes) VALUES ('River', '', ?)",
            [
                '{"locks": {"must": [], "must_not": []}, "positions": [],'
                ' "dial": 0.2, "dynamic_shift": 0}'
            ],
        )
    by_hand.close()
    with RunLogFile(path) as log:
        assert [old.id for old in log.list_runs()] == [5] * bool(version)
        assert all(old.is_attended for old in log.list_runs())
        for key in ("aaa", "bbb"):  # the title is all that an old log knows
            assert log.list_runs(EtudeKey("River", key)) == log.list_runs()
            old_dial = 0.2 if version > 1 else None
            assert log.read_edits(EtudeKey("River", key)).dial == old_dial
            assert (log.tally().of(EtudeKey("River", key)) is None) == (not version)
        assert log.list_runs(EtudeKey("Field", "aaa")) == ()
        assert log.list_played(9, MINE) == ()
        saved = finish(log, run(), OUT, evidence=PLAYED)
        assert log.list_played(9, MINE) == (PlayedRun(saved, PLAYED),)
        log.save_edits(RIVER, Edits(dial=0.5))
        assert log.read_edits(RIVER).dial == 0.5
        assert log._file.version() == len(MIGRATIONS)
        names = [kept.uid for kept in log.list_runs()]
    copy = path.with_name(f"log.db.version-{version}")
    assert copy.exists() == bool(version)
    if version:  # the copy is the log as it was, and names its runs alike
        assert _version_of(copy) == version
        with RunLogFile(copy) as log:
            assert [old.uid for old in log.list_runs()] == names[:1]


def _version_of(path: Path) -> int:
    by_hand = sqlite3.connect(path)
    (version,) = by_hand.execute("PRAGMA user_version").fetchone()
    by_hand.close()
    return int(version)


def test_a_log_that_cannot_be_copied_stays_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "log.db"
    by_hand = sqlite3.connect(path, isolation_level=None)
    MIGRATIONS[0](by_hand)
    by_hand.execute("PRAGMA user_version = 1")
    by_hand.execute(f"PRAGMA application_id = {0x436F6163}")
    by_hand.close()
    (tmp_path / "log.db.version-1.new").mkdir()
    with pytest.raises(RunLogError, match="cannot be used"):
        RunLogFile(path)
    assert _version_of(path) == 1


def newer(path: Path, *statements: str) -> None:
    by_hand = sqlite3.connect(path)
    for statement in statements:
        by_hand.execute(statement)
    by_hand.execute("PRAGMA user_version = 99")
    by_hand.commit()
    by_hand.close()


def test_a_log_of_a_newer_coach_is_read_and_that_is_said(tmp_path: Path) -> None:
    path = tmp_path / "log.db"
    with RunLogFile(path) as log:
        run_id = log.begin(run())
        log.add_mark(run_id, OUT)
    newer(
        path,
        "ALTER TABLE runs ADD COLUMN mood TEXT NOT NULL DEFAULT 'good'",
        "CREATE TABLE dreams (id INTEGER)",
        "INSERT INTO marks (run, kind, bar, beat, at_s, by_whom)"
        " VALUES (1, 'sighed', 1, 1.0, 0.0, 'player')",
    )
    told: list[str] = []
    with RunLogFile(path, told.append) as log:
        assert log.list_runs()[0].marks == (OUT,)
        saved = finish(log, run(5), OUT)
        assert log.list_runs()[1] == saved
        assert log._file.version() == 99
    assert told == [
        "The run log was written by a newer coach: what this one does not know "
        "is left out (marks: sighed)."
    ]


def test_a_newer_log_that_cannot_be_read_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "log.db"
    RunLogFile(path).close()
    newer(path, "DROP TABLE ends")
    with pytest.raises(RunLogError, match=r"newer coach.*Update the coach"):
        RunLogFile(path)


def test_in_an_older_log_silence_to_the_end_means_clean(tmp_path: Path) -> None:
    """It was said so then; runs kept from now on are clean by a word alone."""
    path = tmp_path / "log.db"
    by_hand = sqlite3.connect(path, isolation_level=None)
    before = [step.__name__ for step in MIGRATIONS].index("_keep_silence")
    for migrate in MIGRATIONS[:before]:
        migrate(by_hand)
    by_hand.execute(f"PRAGMA user_version = {before}")
    by_hand.execute(f"PRAGMA application_id = {0x436F6163}")
    for number, (is_attended, is_completed) in enumerate(
        [(1, 1), (1, 0), (0, 1), (1, 1), (1, 1)], start=1
    ):
        by_hand.execute(
            "INSERT INTO runs (id, started, started_utc_s, etude, from_bar, to_bar,"
            " is_whole, bpm, plan, is_attended) VALUES "
            "(?, '2025-03-03T09:00:00+01:00', ?, 'River', 1, 4, 1, 72, '', ?)",
            (number, number, is_attended),
        )
        by_hand.execute(
            "INSERT INTO ends VALUES (?, ?, 4, 9, 0.0, 9.0)", (number, is_completed)
        )
    by_hand.execute(
        "INSERT INTO marks (run, kind, bar, beat, at_s, by_whom)"
        " VALUES (4, 'rushed', 1, 1.0, 0.0, 'player')"
    )
    by_hand.execute("INSERT INTO words VALUES (5, 0, '', NULL)")
    by_hand.close()
    with RunLogFile(path) as log:
        assert [old.is_clean for old in log.list_runs()] == [
            *(True, False, None, False, False)
        ]
        assert log.tally().by_title["River"].clean_bpm == 72
        assert finish(log, run()).is_clean is None
