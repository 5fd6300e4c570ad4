"""Runs go to another laptop with all that is known of them, and none comes twice."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from coach.edges.log.log_file import IN_MEMORY
from coach.edges.log.run_log import RunLogFile
from coach.errors import CoachError
from coach.planning.breathing.locks import Locks
from coach.planning.edits import Edits
from coach.rehearsal.run.playing import Like, Playing
from coach.rehearsal.run.run import Run, RunEnd, RunWord
from coach.wiring import log_travel
from coach.wiring.log_travel import say_taken_in, take_in_file, tell_log
from tests.edges.log.kept_runs import (
    FIELD,
    HEARD,
    MINE,
    OUT,
    PLAYED,
    RIVER,
    TROMBONE,
    finish,
    run,
)

ANN = replace(TROMBONE, player="Ann")
ASKED = Edits(
    Locks(frozenset({3}), frozenset({9}), may_leave_out=False), ((4, "b3"),), 0.2, -1.0
)
IN_FULL = Playing(
    *("Ann", "horn-f", 4.8, -1.0, "gapped", True, "tired"), (3, 9), room_beats=0.5
)


@pytest.fixture
def here() -> Iterator[RunLogFile]:
    with RunLogFile(IN_MEMORY) as log:
        yield log


@pytest.fixture
def there() -> Iterator[RunLogFile]:
    with RunLogFile(IN_MEMORY) as log:
        yield log


def export(log: RunLogFile, path: Path) -> Path:
    lines = tell_log(log, log.list_runs(), lambda _: False)
    path.write_text("".join(f"{line}\n" for line in lines), encoding="utf-8")
    return path


def unnumbered(log: RunLogFile) -> list[Run]:
    return [replace(kept, id=None) for kept in log.list_runs()]


def fill(log: RunLogFile) -> None:
    finish(log, run(0, etude="Ré = \U0001f3ba"), OUT, HEARD, note="=1+1; lips, «ré»")
    finish(log, run(1, how=IN_FULL, etude_key="aaa"), is_clean=True, evidence=PLAYED)
    finish(log, run(2, is_attended=False))
    finish(log, run(3), is_clean=False)
    cut = log.begin(run(4))
    log.add_mark(cut, OUT)
    saved = finish(log, run(5, how=ANN))
    assert saved.id is not None
    log.set_aside(saved.id, "not-me")


def test_all_that_is_known_of_runs_travels(
    here: RunLogFile, there: RunLogFile, tmp_path: Path
) -> None:
    fill(here)
    taken = take_in_file(there, export(here, tmp_path / "log.jsonl"), "")
    assert taken.total() == 6
    assert unnumbered(there) == unnumbered(here)
    like = Like("Ann", "horn-f", "tired")
    (played,) = there.list_played(9, like)
    assert played.evidence == PLAYED


def test_two_logs_are_merged_without_doubles(
    here: RunLogFile, there: RunLogFile, tmp_path: Path
) -> None:
    fill(here)
    finish(there, run(9))
    mine, yours = export(here, tmp_path / "a"), export(there, tmp_path / "b")
    for _ in range(2):
        take_in_file(there, mine, "")
        take_in_file(here, yours, "")
        take_in_file(here, export(there, tmp_path / "c"), "")
    assert unnumbered(here) == unnumbered(there)
    assert len(unnumbered(here)) == 7
    counted = take_in_file(here, yours, "")
    assert say_taken_in(counted, "") == "Taken in: nothing; 1 was here already."


def test_a_run_that_was_finished_later_is_finished_here_too(
    here: RunLogFile, there: RunLogFile, tmp_path: Path
) -> None:
    run_id = here.begin(run())
    here.add_mark(run_id, OUT)
    take_in_file(there, export(here, tmp_path / "a"), "")
    here.add_mark(run_id, HEARD)
    here.end(run_id, RunEnd(is_completed=True, reached_bar=16, lasted=OUT.at))
    counted = take_in_file(there, export(here, tmp_path / "a"), "")
    assert counted == {("", "went on"): 1}
    assert unnumbered(there) == unnumbered(here)


@pytest.mark.parametrize("later", [(), (True,), (True, False)])
def test_a_run_cut_off_before_its_word_is_nothing_new_where_it_came_from(
    here: RunLogFile, tmp_path: Path, later: tuple[bool, ...]
) -> None:
    run_id = here.begin(run())
    here.end(run_id, RunEnd(is_completed=True, reached_bar=16, lasted=OUT.at))
    for is_clean in later:
        here.say_later(run_id, is_clean=is_clean)
    kept = here.list_runs()
    counted = take_in_file(here, export(here, tmp_path / "a"), "")
    assert counted == {("", "known"): 1}
    assert here.list_runs() == kept
    assert here.finish(run_id, RunWord(note="lips")).note == "lips"


def test_setting_aside_travels_too(
    here: RunLogFile, there: RunLogFile, tmp_path: Path
) -> None:
    saved = finish(here, run(), is_clean=True)
    take_in_file(there, export(here, tmp_path / "a"), "")
    assert saved.id is not None
    here.set_aside(saved.id, "struck-out")
    take_in_file(there, export(here, tmp_path / "a"), "")
    assert there.list_runs()[0].set_aside == "struck-out"


def test_a_word_that_came_later_travels_too_and_changes_none_that_is_there(
    here: RunLogFile, there: RunLogFile, tmp_path: Path
) -> None:
    saved = finish(here, run())
    take_in_file(there, export(here, tmp_path / "a"), "")
    assert saved.id is not None
    for is_clean in (True, False):
        here.say_later(saved.id, is_clean=is_clean)
        take_in_file(there, export(here, tmp_path / "a"), "")
        assert there.list_runs()[0].is_clean is True


def test_runs_of_somebody_else_never_count_for_oneself(
    here: RunLogFile, there: RunLogFile, tmp_path: Path
) -> None:
    finish(there, run(0), is_clean=True, evidence=PLAYED)
    finish(there, run(1, how=ANN), is_clean=True, evidence=PLAYED)
    counted = take_in_file(here, export(there, tmp_path / "a"), "Ben")
    assert say_taken_in(counted, "") == (
        "Taken in: 1 of Ann, 1 of Ben; 0 were here already."
    )
    assert here.list_played(9, MINE) == ()
    assert here.list_runs(like=MINE) == ()
    assert [kept.how.player for kept in here.list_runs()] == ["Ben", "Ann"]


def changed(**values: Any) -> str:
    with RunLogFile(IN_MEMORY) as log:
        finish(log, run(), OUT, evidence=PLAYED)
        first, line = tell_log(log, log.list_runs(), lambda _: False)
    return (
        f"{first}\n{line}\n{json.dumps({**json.loads(line), 'uid': 'b', **values})}\n"
    )


@pytest.mark.parametrize(
    ("values", "why"),
    [
        ({"started": "yesterday"}, "started is no date"),
        ({"started": "2025-03-03T09:00:00"}, "has no zone"),
        ({"started": 7}, "started is missing"),
        ({"uid": ""}, "uid is empty"),
        ({"bpm": "fast"}, "bpm is no number"),
        ({"bpm": float("nan")}, "bpm is out of reach"),
        ({"bpm": 1e300}, "bpm is out of reach"),
        ({"lasted_s": True}, "lasted_s is no number"),
        ({"note": "a" * 20_000}, "note is too long"),
        ({"click": {"sent": 0, "worst_late_ms": 0, "kind": "loud"}}, "click.kind"),
        ({"set_aside": "why not"}, "set_aside is unknown"),
        ({"marks": [{"kind": "rushed", "by": "a ghost"}]}, "by is unknown"),
        ({"evidence": {"notes": 3}}, "of the lungs makes no sense"),
        ({"evidence": []}, "line 3"),
        ({"segment": []}, "segment is missing"),
        ({"segment": {"from_bar": 9, "to_bar": 3}}, "ends before it begins"),
        ({"started": "0001-01-01T00:00:00+00:00"}, "started is out of reach"),
        ({"started": "9999-12-31T23:59:59-14:00"}, "started is out of reach"),
        ({"lasted_s": -5}, "lasted_s is out of reach"),
        ({"bpm": 0}, "bpm is out of reach"),
        ({"player": "../x"}, "nobody's name"),
        ({"player": "x" * 41}, "nobody's name"),
    ],
)
def test_a_line_that_is_no_run_is_named_and_nothing_is_taken_in(
    here: RunLogFile, tmp_path: Path, values: dict[str, Any], why: str
) -> None:
    path = tmp_path / "log.jsonl"
    path.write_text(changed(**values), encoding="utf-8")
    with pytest.raises(CoachError, match=why) as refused:
        take_in_file(here, path, "")
    assert "line 3" in str(refused.value)
    assert here.list_runs() == ()


def test_a_file_without_an_end_of_line_is_no_log(
    here: RunLogFile, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A disk that broke off left gigabytes of nothing: they do not fit into memory."""
    monkeypatch.setattr(log_travel, "LONGEST_LINE", 100)
    path = tmp_path / "log.jsonl"
    begins = json.dumps({"kind": "coach-log", "schema": 1})
    for text, says in (("\0" * 999, "is no log"), (f"{begins}\n{' ' * 999}{{", "line")):
        path.write_text(text, encoding="utf-8")
        with pytest.raises(CoachError, match=says):
            take_in_file(here, path, "")


def test_what_is_insisted_on_travels_with_its_player_and_the_newest_holds(
    tmp_path: Path,
) -> None:
    """A teacher's laptop has edits of several players; theirs stay apart."""
    logs = [
        RunLogFile(tmp_path / (k or "nobody"), player=k) for k in ("Ann", "Ben", "")
    ]
    ann, ben, there = logs
    for log, how in ((ann, ANN), (ben, TROMBONE)):
        finish(log, run(etude_key="aaa", how=how))
        log.save_edits(RIVER, Edits(dial=0.5))
    ann.save_edits(RIVER, ASKED)
    finish(ann, run(1, etude="Other", how=ANN))
    ann.save_edits(FIELD, Edits(dial=0.1))  # never rehearsed, nor asked for
    counted = take_in_file(there, export(ann, tmp_path / "a"), "")
    assert say_taken_in(counted, "") == (
        "Taken in: 2 of Ann, what was insisted on in 1 etude; 0 were here already."
    )
    assert take_in_file(there, tmp_path / "a", "")["Ann", "known edits"] == 1
    take_in_file(there, export(ben, tmp_path / "b"), "")
    assert there.read_edits(RIVER) == Edits()
    for log in logs:
        log.close()
    with RunLogFile(tmp_path / "nobody", player="Ann") as log:
        assert log.read_edits(RIVER) == ASKED


def test_edits_that_make_no_sense_are_refused(here: RunLogFile, tmp_path: Path) -> None:
    path = tmp_path / "log.jsonl"
    told = {"kind": "edits", "etude": "River", "etude_key": "aaa", "player": ""}
    for more in (
        {},
        {"saved": "never", "wishes": {}},
        {"saved": "2025-03-03T09:00:00+00:00", "wishes": {"locks": 3}},
    ):
        path.write_text(changed() + json.dumps({**told, **more}), encoding="utf-8")
        with pytest.raises(CoachError, match=r"line 4.*insisted on makes no sense"):
            take_in_file(here, path, "")
    assert here.list_runs() == ()


@pytest.mark.parametrize("raw", [b"", b"\n"])
def test_an_empty_file_brings_nothing(
    here: RunLogFile, tmp_path: Path, raw: bytes
) -> None:
    (tmp_path / "log").write_bytes(raw)
    assert not take_in_file(here, tmp_path / "log", "")


@pytest.mark.parametrize(
    "raw", [b"\xff\xfe\x00", b"[1]", b"hello", b'{"kind": "run"}', b"[" * 100_000]
)
def test_a_file_of_something_else_is_refused_in_a_sentence(
    here: RunLogFile, tmp_path: Path, raw: bytes
) -> None:
    (tmp_path / "log").write_bytes(raw)
    with pytest.raises(
        CoachError, match="is no log that the coach has exported; nothing"
    ):
        take_in_file(here, tmp_path / "log", "")


def test_words_of_another_log_do_nothing_to_a_terminal(
    here: RunLogFile, tmp_path: Path
) -> None:
    path = tmp_path / "log.jsonl"
    words = {"etude": "Ri\x1b[31mver\u202e", "player": "A\x07nn", "note": "a\nb"}
    path.write_text(changed(**words), encoding="utf-8")
    take_in_file(here, path, "")
    kept = here.list_runs()[-1]
    assert (kept.etude, kept.how.player, kept.note) == ("River", "Ann", "a b")


def test_a_mark_that_an_editor_puts_at_the_beginning_is_passed_over(
    here: RunLogFile, tmp_path: Path
) -> None:
    path = tmp_path / "log.jsonl"
    path.write_text(changed(), encoding="utf-8-sig")
    assert take_in_file(here, path, "").total() == 2


def test_a_file_that_is_not_there_is_told_of(here: RunLogFile, tmp_path: Path) -> None:
    with pytest.raises(CoachError, match="cannot be read"):
        take_in_file(here, tmp_path / "none", "")


def test_what_a_later_coach_adds_is_passed_over_and_told_of(
    here: RunLogFile, tmp_path: Path
) -> None:
    path = tmp_path / "log.jsonl"
    marks = [
        {"kind": "sighed", "bar": 1, "beat": 1, "at_s": 1, "by": "player"},
        {"kind": "rushed", "bar": 2, "beat": 1, "at_s": 2, "by": "player"},
    ]
    lines = changed(marks=marks, mood="good") + '{"kind": "wishes", "of": 3}\n'
    path.write_text(lines, encoding="utf-8")
    counted = take_in_file(here, path, "")
    assert say_taken_in(counted, "") == (
        "Taken in: 2 of yours; 0 were here already. 1 line of a newer coach left out."
    )
    assert [len(kept.marks) for kept in here.list_runs()] == [1, 1]
