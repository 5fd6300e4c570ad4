"""From a score file to a reviewed rehearsal, over several days, as a player does it.

Real score, real planner, real log in a file that is closed every night; only the
clock is moved by hand and the click is silent.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from coach.config import shipped
from coach.edges.log.run_log import RunLogFile
from coach.edges.scores.score_files import read_part
from coach.plain.plain_rehearsal import rehearse_plain
from coach.plain.run_json import review_as_dict, run_as_dict
from coach.planning.breathing.locks import Locks
from coach.planning.edits import Edits
from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run_states import State
from coach.score.etude_key import key_of
from coach.score.phrase import Part
from coach.score.tempo import Seconds
from tests.hand_rehearsal import HandRehearsal, learned_from


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    return tmp_path


@pytest.fixture
def part(home: Path) -> Part:
    assert home.is_dir()
    return read_part(shipped("etudes") / "mill-wheel.musicxml")


@contextmanager
def evening(home: Path, part: Part, day: int, **wishes: Any) -> Iterator[HandRehearsal]:
    """Open the log, rehearse on a day, and close it."""
    with RunLogFile(home / "runs.sqlite3") as log:
        rehearsal = HandRehearsal(part, log=log, **wishes)
        rehearsal.midnight += timedelta(days=day)
        yield rehearsal


def test_a_week_of_rehearsing_a_hard_spot(home: Path, part: Part) -> None:
    bars = {"from_bar": 1, "to_bar": 8}

    with evening(home, part, 0, bpm=60, **bars) as r:
        assert r.conductor.advice().why.startswith("These bars are new")
        for _ in range(2):
            r.conductor.start()
            r.go_to(0.0)
            r.go_to(r.conductor.track.ends * 0.8)
            r.conductor.mark(MarkKind.RAN_OUT)
            r.go_to(r.conductor.track.ends)
            r.conductor.finish(note="gone")
        out = r.log.list_runs()[-1].marks[0]
        advice = r.conductor.advice()
        assert (advice.kind, advice.bpm) == ("breathe", 60)
        assert f"bar {out.bar}" in advice.why
        # The player takes the advice: a breath before that bar.
        before = next(k for k, note in enumerate(part.notes) if note.bar == out.bar)
        r.conductor.set_edits(Edits(locks=Locks(must=frozenset({before - 1}))))

    with evening(home, part, 1, bpm=60, **bars) as r:
        assert before - 1 in r.conductor.edits.locks.must
        inside = before - 1 - r.conductor.first_note
        planned = {b.after_note for b in r.conductor.plan.breaths.breaths}
        assert inside in planned
        for _ in range(3):
            r.run_clean()
        assert r.conductor.advice().kind == "faster"
        r.conductor.step_tempo(1)
        r.run_clean()

    with evening(home, part, 2, bpm=63, **bars) as r:
        advice = r.conductor.advice()
        assert (advice.kind, advice.bpm) == ("again", 63)  # first, see if it holds
        assert "another day" in advice.why
        told = r.conductor.review(learned_from(r.log))

    laid = review_as_dict(told)
    assert laid["etude"] == part.title
    assert laid["runs"] == 6
    assert laid["clean_bpm"] == 63
    assert laid["clean_segment"] == bars
    assert [(spot["bar"], spot["ran_out"]) for spot in laid["trouble"]] == [
        (out.bar, 2)
    ]
    assert laid["trouble"][0]["runs"] == 6
    assert [day["best_clean_bpm"] for day in laid["progress"]] == [63]
    assert laid["air"]["low"] < laid["air"]["flow_scale"] < laid["air"]["high"]
    assert "2 runs that ran out and 4 runs to the end, on 2 days" in laid["air"]["says"]
    assert laid["next"][0]["why"] == advice.why, "one voice"


def test_a_plain_rehearsal_is_found_in_the_log_the_next_day(
    home: Path, part: Part
) -> None:
    lines: list[str] = []
    with evening(home, part, 0, runs_in_a_row=2, bpm=80) as r:
        words = iter(["clean", "rushed 3.2, so so"])
        code = rehearse_plain(
            r.conductor, r.player, r.clock, lines.append, lambda _: next(words)
        )
    assert code == 0
    with RunLogFile(home / "runs.sqlite3") as log:
        first, second = map(run_as_dict, log.list_runs(key_of(part)))
        tally = log.tally().of(key_of(part))
    assert tally is not None
    assert (first["completed"], first["clean"], first["bpm"]) == (True, True, 80.0)
    assert second["marks"][0] | {"at_s": 0} == {
        "kind": "rushed",
        "bar": 3,
        "beat": 2.0,
        "at_s": 0,
        "by": "player",
    }
    assert (second["clean"], second["note"]) == (False, "so so")
    assert first["plan"] == second["plan"]
    assert (tally.runs, tally.clean_bpm) == (2, 80.0)
    numbers = [int(line[4:]) for line in lines if line.startswith("bar ")]
    assert numbers == [bar.number for bar in part.bars if bar.number > 0] * 2


def test_every_breath_of_the_etude_is_rehearsed_alone_in_turn(
    home: Path, part: Part
) -> None:
    wishes = {"segment_by": "breath", "overlaps": True, "lead_in_bars": 1}
    with evening(home, part, 0, click=ClickWishes(count_in_bars=2), **wishes) as r:
        count = len(r.conductor.plan.breaths.breaths) + 1
        played = []
        r.conductor.next_segment()
        while r.conductor.notice != "This is the last segment.":
            assert r.play_to_end() is State.ENDED
            played.append(r.conductor.finish())
            r.conductor.next_segment()
    assert len(played) == count
    assert all(run.is_completed and not run.is_whole for run in played)
    assert max(run.lasted for run in played) < Seconds(60.0)
