"""The run log: what is written stays, and nothing finished is lost."""

from __future__ import annotations

import os
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from threading import Thread
from typing import Any

import pytest

from coach.edges.run_log import IN_MEMORY, MIGRATIONS, RunLogFile
from coach.errors import RunLogError
from coach.planning.breaths import Locks
from coach.planning.edits import Edits
from coach.rehearsal.run import Mark, MarkKind, Run, RunEnd, RunWord
from coach.score.etude_key import EtudeKey
from coach.score.tempo import Seconds

RIVER = EtudeKey("River", "aaa")
FIELD = EtudeKey("Field", "bbb")
MORNING = datetime(2025, 3, 3, 9, 0, tzinfo=timezone(timedelta(hours=1)))
TO_THE_END = RunEnd(
    is_completed=True,
    reached_bar=16,
    sent=64,
    worst_late=Seconds(0.0012),
    lasted=Seconds(40.0),
)
OUT = Mark(MarkKind.RAN_OUT, 7, 3.0, Seconds(26.0))
HEARD = Mark(MarkKind.RUSHED, 2, 1.0, Seconds(4.5), "microphone", Seconds(0.04))


def run(minutes: float = 0.0, **given: Any) -> Run:
    values: dict[str, Any] = {
        "etude": "River",
        "from_bar": 1,
        "to_bar": 16,
        "bpm": 84.5,
        "is_whole": True,
        "plan": "abc",
    }
    return Run(
        started=MORNING + timedelta(minutes=minutes),
        is_completed=False,
        is_clean=False,
        **{**values, **given},
    )


@pytest.fixture
def log() -> Iterator[RunLogFile]:
    with RunLogFile(IN_MEMORY) as log:
        yield log


def finish(log: RunLogFile, which: Run, *marks: Mark, **word: Any) -> Run:
    """Write a whole run."""
    run_id = log.begin(which)
    for mark in marks:
        log.add_mark(run_id, mark)
    log.end(run_id, TO_THE_END)
    return log.finish(run_id, RunWord(**word))


def test_a_finished_run_is_read_as_it_was_written(log: RunLogFile) -> None:
    saved = finish(log, run(), OUT, HEARD, note="lips", empties_at_scale=1.2)
    assert saved == replace(
        run(),
        id=1,
        is_completed=True,
        marks=(HEARD, OUT),  # in order of time
        note="lips",
        sent=64,
        worst_late=Seconds(0.0012),
        reached_bar=16,
        lasted=Seconds(40.0),
        empties_at_scale=1.2,
    )
    assert log.list_runs() == (saved,)
    assert saved.started.utcoffset() == timedelta(hours=1)


def test_a_run_without_fault_is_clean_unless_the_player_says_otherwise(
    log: RunLogFile,
) -> None:
    breathed = replace(OUT, kind=MarkKind.BREATHED)
    assert finish(log, run()).is_clean
    assert finish(log, run(), breathed).is_clean
    assert not finish(log, run(), OUT).is_clean
    assert finish(log, run(), OUT, is_clean=True).is_clean
    assert not finish(log, run(), is_clean=False).is_clean


def test_a_run_that_was_cut_off_is_kept_as_such_and_never_clean(
    log: RunLogFile,
) -> None:
    run_id = log.begin(run())
    log.end(run_id, RunEnd(is_completed=False, reached_bar=3))
    saved = log.finish(run_id, RunWord(is_clean=True))
    assert (saved.is_completed, saved.is_clean, saved.reached_bar) == (False, False, 3)


def test_a_run_that_waits_for_a_word_counts_as_played(log: RunLogFile) -> None:
    run_id = log.begin(run())
    log.end(run_id, TO_THE_END)
    (waiting,) = log.list_runs()
    assert waiting.is_completed
    assert waiting.is_clean


def test_a_run_that_nobody_attended_is_clean_only_in_words(log: RunLogFile) -> None:
    alone = run(is_attended=False)
    breathed = replace(OUT, kind=MarkKind.BREATHED)
    for saved, is_clean, is_attended in (
        (finish(log, alone), False, False),
        (finish(log, alone, note="a trial"), False, False),
        (finish(log, alone, is_clean=True), True, True),
        (finish(log, alone, is_clean=False), False, True),
        (finish(log, alone, OUT), False, True),
        (finish(log, alone, breathed), True, True),
        (finish(log, run()), True, True),
    ):
        assert (saved.is_clean, saved.is_attended) == (is_clean, is_attended)
    waiting = log.begin(alone)
    log.end(waiting, TO_THE_END)
    assert not log.list_runs()[-1].is_clean
    log.add_mark(waiting, HEARD)
    log.take_back_mark(waiting)
    assert not log.list_runs()[-1].is_attended


def test_what_nobody_attended_is_no_best_tempo(log: RunLogFile) -> None:
    finish(log, run(0, bpm=80))
    finish(log, run(1, bpm=120, is_attended=False))
    river = log.tally().by_title["River"]
    assert (river.runs, river.clean_bpm) == (2, 80)


def test_a_run_that_was_never_ended_keeps_its_marks(log: RunLogFile) -> None:
    log.add_mark(log.begin(run()), OUT)
    (broken,) = log.list_runs()
    assert (broken.is_completed, broken.marks) == (False, (OUT,))
    assert broken.reached_bar is None


def test_the_newest_mark_can_be_taken_back_until_the_run_is_finished(
    log: RunLogFile,
) -> None:
    run_id = log.begin(run())
    log.take_back_mark(run_id)  # nothing to take back
    log.add_mark(run_id, OUT)
    log.add_mark(run_id, HEARD)
    log.take_back_mark(run_id)
    assert log.list_runs()[0].marks == (OUT,)
    log.take_back_mark(run_id)
    assert log.list_runs()[0].marks == ()
    log.add_mark(run_id, HEARD)
    log.end(run_id, TO_THE_END)
    assert log.finish(run_id, RunWord()).marks == (HEARD,)


def test_a_finished_run_takes_no_more_marks(log: RunLogFile) -> None:
    saved = finish(log, run(), OUT)
    assert saved.id is not None
    with pytest.raises(RunLogError, match="the run is finished"):
        log.add_mark(saved.id, HEARD)
    with pytest.raises(RunLogError, match="the run is finished"):
        log.take_back_mark(saved.id)
    with pytest.raises(RunLogError, match="UNIQUE"):
        log.finish(saved.id, RunWord())
    assert log.list_runs() == (saved,)


def test_a_mark_needs_a_run(log: RunLogFile) -> None:
    with pytest.raises(RunLogError, match="FOREIGN KEY"):
        log.add_mark(99, OUT)


@pytest.mark.parametrize(
    "table", ["runs", "ends", "words", "marks", "marks_taken_back", "edits"]
)
@pytest.mark.parametrize("change", ["DELETE FROM {}", "UPDATE {} SET rowid = 9"])
def test_no_row_is_ever_changed(tmp_path: Path, table: str, change: str) -> None:
    path = tmp_path / "log.db"
    with RunLogFile(path) as log:
        run_id = log.begin(run())
        log.add_mark(run_id, OUT)
        log.take_back_mark(run_id)
        log.end(run_id, TO_THE_END)
        log.finish(run_id, RunWord())
        log.save_edits(RIVER, Edits(dial=0.5))
    by_hand = sqlite3.connect(path)
    with pytest.raises(sqlite3.IntegrityError, match="what is written stays"):
        by_hand.execute(change.format(table))
    by_hand.close()


def test_runs_are_listed_oldest_first_across_time_zones(log: RunLogFile) -> None:
    late = finish(log, run(60))
    early = finish(log, replace(run(), started=MORNING.astimezone(UTC)))
    assert log.list_runs() == (early, late)


def test_runs_are_listed_by_etude_and_since_a_moment(log: RunLogFile) -> None:
    first, second = finish(log, run()), finish(log, run(60), OUT)
    other = finish(log, run(120, etude="O'Hara's \"Field\"; DROP TABLE runs"), HEARD)
    assert log.list_runs(RIVER) == (first, second)
    assert log.list_runs(EtudeKey(other.etude, "ccc")) == (other,)
    assert log.list_runs(since=second.started) == (second, other)
    assert log.list_runs(RIVER, since=second.started) == (second,)
    assert log.list_runs(EtudeKey("Nothing", "ccc")) == ()


def test_the_shelf_is_told_of_every_etude(log: RunLogFile) -> None:
    finish(log, run(0, bpm=80))
    finish(log, run(1, bpm=84), OUT)
    finish(log, run(2, bpm=120, is_whole=False))
    finish(log, run(3, bpm=76), OUT, HEARD)
    finish(log, run(4, etude="Field"), HEARD, replace(HEARD, bar=1))
    finish(log, run(5, etude="Sky", is_whole=False))
    told = log.tally()
    assert (set(told.by_key), set(told.by_title)) == (set(), {"River", "Field", "Sky"})
    river = told.of(RIVER)
    field, sky = told.by_title["Field"], told.by_title["Sky"]
    assert river is not None
    assert (river.runs, river.clean_bpm, river.hardest_bar) == (4, 80, 7)
    assert river.last_run == run(3).started
    assert field.hardest_bar == 1  # of two equally hard, the first
    assert (sky.clean_bpm, sky.hardest_bar) == (None, None)


def test_two_etudes_of_one_title_have_each_their_own_runs_and_edits(
    log: RunLogFile,
) -> None:
    one, other = EtudeKey("Etude 5", "aaa"), EtudeKey("Etude 5", "bbb")
    mine = finish(log, run(etude="Etude 5", etude_key="aaa", bpm=80), OUT)
    yours = finish(log, run(1, etude="Etude 5", etude_key="bbb", bpm=90))
    log.save_edits(one, Edits(dial=0.1))
    log.save_edits(other, Edits(dial=0.9))
    assert (log.list_runs(one), log.list_runs(other)) == ((mine,), (yours,))
    assert (log.read_edits(one).dial, log.read_edits(other).dial) == (0.1, 0.9)
    told = log.tally()
    assert [told.by_key[key].clean_bpm for key in ("aaa", "bbb")] == [None, 90]
    assert [told.by_key[key].hardest_bar for key in ("aaa", "bbb")] == [7, None]
    assert told.by_title == {}


def test_an_etude_that_was_spelled_anew_keeps_its_runs(log: RunLogFile) -> None:
    saved = finish(log, run(etude="étude 5", etude_key="aaa"))
    assert log.list_runs(EtudeKey("Étude 5", "aaa")) == (saved,)


def test_edits_are_kept_by_etude_and_the_newest_hold(log: RunLogFile) -> None:
    edits = Edits(
        locks=Locks(must=frozenset({9, 3}), must_not=frozenset({4})),
        positions=((2, "b4"), (7, "T2")),
        dial=0.25,
        dynamic_shift=-1.0,
    )
    assert log.read_edits(RIVER) == Edits()
    log.save_edits(RIVER, Edits(dial=0.9))
    log.save_edits(RIVER, edits)
    log.save_edits(FIELD, Edits())
    assert log.read_edits(RIVER) == edits
    assert log.read_edits(FIELD).are_none


def test_what_was_written_is_there_when_it_is_opened_again(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "folder" / "log.db"
    with RunLogFile(path) as log:
        saved = finish(log, run(), OUT)
    with RunLogFile(path) as log:
        assert log.list_runs() == (saved,)


def test_the_file_is_written_with_care(tmp_path: Path) -> None:
    with RunLogFile(tmp_path / "log.db") as log:
        ask = log._database.execute
        assert ask("PRAGMA journal_mode").fetchone()[0] == "wal"
        assert ask("PRAGMA synchronous").fetchone()[0] == 2  # FULL
        assert ask("PRAGMA integrity_check").fetchone()[0] == "ok"


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
        finish(log, run(), OUT)
        log.save_edits(RIVER, Edits(dial=0.5))
        assert log.read_edits(RIVER).dial == 0.5
        assert log._version() == len(MIGRATIONS)


def test_a_log_of_a_newer_coach_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "log.db"
    RunLogFile(path).close()
    by_hand = sqlite3.connect(path)
    by_hand.execute("PRAGMA user_version = 99")
    by_hand.close()
    with pytest.raises(RunLogError, match=r"newer coach\. Update the coach"):
        RunLogFile(path)


def test_a_database_of_another_program_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "log.db"
    by_hand = sqlite3.connect(path)
    by_hand.execute("CREATE TABLE photos (id)")
    by_hand.close()
    before = path.read_bytes()
    with pytest.raises(RunLogError, match="no run log of the coach"):
        RunLogFile(path)
    assert path.read_bytes() == before


def test_a_file_that_is_no_database_is_called_damaged(tmp_path: Path) -> None:
    path = tmp_path / "log.db"
    path.write_text("not a log " * 1000)
    with pytest.raises(RunLogError, match=r"is damaged\. Move it away"):
        RunLogFile(path)


def test_a_log_with_a_broken_page_is_called_damaged(tmp_path: Path) -> None:
    path = tmp_path / "log.db"
    with RunLogFile(path) as log:
        for minute in range(60):
            finish(log, run(minute), OUT)
    raw = bytearray(path.read_bytes())
    raw[4096:] = b"\xff" * (len(raw) - 4096)
    path.write_bytes(raw)
    with pytest.raises(RunLogError, match="is damaged"), RunLogFile(path) as log:
        log.list_runs()


def test_a_folder_in_the_place_of_the_log_is_told_of(tmp_path: Path) -> None:
    with pytest.raises(RunLogError, match=r"cannot be used: .*Check the folder"):
        RunLogFile(tmp_path)


def test_a_file_in_the_place_of_the_folder_is_told_of(tmp_path: Path) -> None:
    (tmp_path / "home").write_text("")
    with pytest.raises(RunLogError, match="cannot be used: File exists"):
        RunLogFile(tmp_path / "home" / "log.db")


def test_a_full_disk_is_told_of(tmp_path: Path) -> None:
    with RunLogFile(tmp_path / "log.db") as log:
        (pages,) = log._database.execute("PRAGMA page_count").fetchone()
        log._database.execute(f"PRAGMA max_page_count = {pages}")
        long = run(etude="River " * 100_000)
        with pytest.raises(RunLogError, match=r"disk is full.*Make room"):
            log.begin(long)
        log._database.execute("PRAGMA max_page_count = 100000")
        finish(log, run())


def test_a_log_that_another_program_holds_is_told_of(tmp_path: Path) -> None:
    path = tmp_path / "log.db"
    with RunLogFile(path) as log:
        log._database.execute("PRAGMA busy_timeout = 50")
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(RunLogError, match="in use by another program"):
            log.begin(run())
        other.execute("ROLLBACK")
        other.close()
        assert log.begin(run()) == 1


def test_an_interrupted_call_leaves_nothing_half_written(log: RunLogFile) -> None:
    def interrupted() -> None:
        with log._transaction() as database:
            database.execute(
                "INSERT INTO edits (etude, saved, wishes) VALUES (1, 2, 3)"
            )
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        interrupted()
    assert log.read_edits(EtudeKey("1", "ccc")) == Edits()
    finish(log, run())


def test_threads_write_one_after_the_other(tmp_path: Path) -> None:
    with RunLogFile(tmp_path / "log.db") as log:
        writers = [
            Thread(target=lambda k=k: finish(log, run(k), OUT)) for k in range(8)
        ]
        for writer in writers:
            writer.start()
        for writer in writers:
            writer.join()
        assert len(log.list_runs()) == 8


WRITER = """
import sys
from pathlib import Path
from tests.edges.test_run_log import MORNING, OUT, finish, run
from coach.edges.run_log import RunLogFile
with RunLogFile(Path(sys.argv[1])) as log:
    for minute in range(int(sys.argv[2])):
        saved = finish(log, run(minute, etude=sys.argv[3]), OUT, OUT)
        print(saved.id, flush=True)
"""


def start_writer(path: Path, runs: int, etude: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path), str(runs), etude],
        stdout=subprocess.PIPE,
        text=True,
        cwd=Path(__file__).parents[2],
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
    )


def test_two_programs_write_to_one_log(tmp_path: Path) -> None:
    path = tmp_path / "log.db"
    writers = [start_writer(path, 30, etude) for etude in ("River", "Field")]
    for writer in writers:
        writer.communicate(timeout=60)
        assert writer.returncode == 0
    with RunLogFile(path) as log:
        assert len(log.list_runs(RIVER)) == len(log.list_runs(FIELD)) == 30
        assert all(len(one.marks) == 2 for one in log.list_runs())


def test_a_program_killed_while_it_writes_loses_nothing_finished(
    tmp_path: Path,
) -> None:
    """The same at a hundred random moments: tests/benchmarks/kill_the_log.py."""
    path = tmp_path / "log.db"
    told: list[int] = []
    for runs in (3, 17, 40):
        writer = start_writer(path, 100_000, "River")
        assert writer.stdout is not None
        told += [int(writer.stdout.readline()) for _ in range(runs)]
        writer.send_signal(signal.SIGKILL)
        told += [int(line) for line in writer.stdout.read().splitlines()]
        writer.stdout.close()
        writer.wait(timeout=10)
        with RunLogFile(path) as log:
            finished = {one.id for one in log.list_runs() if one.is_completed}
            assert set(told) <= finished
            check = log._database.execute("PRAGMA integrity_check").fetchone()
            assert check[0] == "ok"
