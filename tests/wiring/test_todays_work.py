"""What to play today, from shelf and log."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from coach.edges.log.log_file import IN_MEMORY
from coach.edges.log.run_log import RunLogFile
from coach.edges.scores.etude_shelf import find_etude, list_etudes, player_folder
from coach.edges.scores.other_places import keep_place
from coach.edges.scores.score_files import read_part
from coach.planning.instrument.range_fit import say_fit
from coach.rehearsal.run.run import RunEnd, RunWord
from coach.score.etude_key import key_of
from coach.score.tempo import Seconds
from coach.wiring.player_planner import PlayerPlanner
from coach.wiring.todays_work import plan_today, review_all
from tests.edges.log.kept_runs import run

NOON = datetime(2025, 3, 3, 12, tzinfo=UTC)
FOUR = ("tide", "long-river", "morning-air", "mill-wheel")


def play(log: RunLogFile, name: str, minutes_ago: float, bpm: float = 40.0) -> None:
    """Put a clean run of bars 1 to 4 into a log, three minutes long."""
    key = key_of(read_part(find_etude(name)))
    kept = run(
        etude=key.title, etude_key=key.fingerprint, to_bar=4, is_whole=False, bpm=bpm
    )
    run_id = log.begin(replace(kept, started=NOON - timedelta(minutes=minutes_ago)))
    log.end(run_id, RunEnd(is_completed=True, reached_bar=4, lasted=Seconds(180.0)))
    log.finish(run_id, RunWord(is_clean=True))


def test_after_half_an_hour_on_four_etudes_a_rest_comes_first() -> None:
    """And then what comes when the lips have rested, not the rest once more."""
    with RunLogFile(IN_MEMORY) as log:
        for k in range(8):
            play(log, FOUR[k // 2], 28 - 3.5 * k)
        today = plan_today(log, PlayerPlanner(None, log), NOON, None)
        assert (today.so_far.runs, today.so_far.etudes) == (8, 4)
        assert today.turns[0].kind == "rest"
        works = [turn.work for turn in today.turns[1:] if turn.work]
        assert works
        assert {work.advice.kind for work in works} == {"faster"}
        assert today.done == ()
        played = [what.etude for what in review_all(log, PlayerPlanner(None, log))]
        assert played == ["Mill Wheel", "Morning Air", "Long River", "Tide"]


BY_PATH = """X:1
T:By Its Path
M:4/4
L:1/4
Q:1/4=60
K:C bass
C,D,E,F,|G,F,E,D,|C,D,E,F,|C,4|]
"""


def test_an_etude_that_was_rehearsed_by_its_path_takes_its_turn(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As long as its file is there; a copy of what is on the shelf comes once."""
    monkeypatch.setattr("coach.edges.scores.other_places.home", lambda: tmp_path)
    path = tmp_path / "by path.abc"
    path.write_text(BY_PATH)
    twin = tmp_path / "twin.musicxml"
    twin.write_bytes(find_etude("tide").read_bytes())
    for one in (path, twin):
        keep_place(str(one), list_etudes())
    with RunLogFile(IN_MEMORY) as log:
        planner = PlayerPlanner(None, log)
        assert all(
            turn.work is None or turn.work.is_new
            for turn in plan_today(log, planner, NOON, None).turns
        ), "nothing was rehearsed"
        play(log, "tide", 9)
        play(log, str(path), 5)
        today = plan_today(log, planner, NOON, None)
        files = {turn.work.file for turn in today.turns if turn.work}
        assert {str(path), "tide"} <= files
        assert str(twin) not in files
        assert today.not_on_shelf == ()
        titles = [what.etude for what in review_all(log, planner)]
        assert titles == ["By Its Path", "Tide"]
        path.unlink()
        assert plan_today(log, planner, NOON, None).not_on_shelf == ("By Its Path",)


LONG_END = BY_PATH.replace("|C,4|]", "|!ff!C,4-" + "|C,4-" * 12 + "|C,4|]")


@pytest.mark.parametrize(("tune", "bar"), [(BY_PATH, None), (LONG_END, 6)])
def test_a_play_through_knows_in_which_bar_the_air_runs_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, tune: str, bar: int | None
) -> None:
    monkeypatch.setattr("coach.edges.scores.other_places.home", lambda: tmp_path)
    path = tmp_path / "by path.abc"
    path.write_text(tune.replace("|C,D,E,F,|", "|C,D,E,F,|G,F,E,D,|C,D,E,F,|"))
    keep_place(str(path), list_etudes())
    with RunLogFile(IN_MEMORY) as log:
        play(log, str(path), 5)
        turns = plan_today(log, PlayerPlanner(None, log), NOON, None).turns
        works = [turn.work for turn in turns if turn.work]
        (found,) = {work.whole_runs_out for work in works if work.file == str(path)}
        assert found == bar


def test_the_first_day_begins_with_what_the_player_has_put_on_the_shelf(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    with RunLogFile(IN_MEMORY) as log:
        planner = PlayerPlanner(None, log)
        assert plan_today(log, planner, NOON, None).is_guess
        player_folder().mkdir()
        (player_folder() / "mine.abc").write_text(BY_PATH)
        today = plan_today(log, planner, NOON, None)
        first = next(turn.work for turn in today.turns if turn.work)
        assert (first.file, first.is_new, today.is_guess) == ("mine", True, False)
        play(log, "tide", 9)
        assert not plan_today(log, planner, NOON, None).is_guess


def test_nothing_is_begun_that_the_instrument_cannot_play() -> None:
    with RunLogFile(IN_MEMORY) as log:
        today = plan_today(log, PlayerPlanner("oboe", log), NOON, None)
        assert today.turns == ()
        (told,) = today.says
        assert told.startswith("No etude on the shelf can be played on the oboe as it")
        assert told.endswith(
            "“Morning Air” fits an octave higher: coach plan morning-air --transpose 12"
        )
        planner = PlayerPlanner("french horn", log)
        played = plan_today(log, planner, NOON, None).turns
        assert played
        for turn in played:
            assert turn.work is None or not say_fit(
                read_part(find_etude(turn.work.file)), planner.instrument
            )


def test_a_run_that_a_wrong_clock_dated_ahead_says_nothing_last() -> None:
    """Bars 1 to 4 were at 40 then; the newest runs, at 50, say what comes."""
    with RunLogFile(IN_MEMORY) as log:
        for minutes_ago, bpm in ((-(2**25), 40.0), (9, 50.0), (5, 50.0)):
            play(log, "tide", minutes_ago, bpm)
        today = plan_today(log, PlayerPlanner(None, log), NOON, None)
        advice = [turn.work.advice for turn in today.turns if turn.work]
        assert advice[0].bpm > 50
        assert today.so_far.runs == 2
