"""What to play in the minutes that there are."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.config import read_settings
from coach.plain.today_lines import today_as_dict, today_lines
from coach.rehearsal.ahead.rests import since_rest
from coach.rehearsal.ahead.today import (
    PlayedToday,
    Today,
    TodaySettings,
    Work,
    lay_today,
)
from coach.rehearsal.review.advice import Advice
from coach.score.tempo import Seconds
from tests.rehearsal.review.test_ladder import LADDER, NOW, run

SETTINGS = read_settings(TodaySettings, "rehearsal", "today")
NOTHING = PlayedToday(0, 0, 0.0, None, 0.0)


def work(title: str, run_s: float = 45.0, **given: Any) -> Work:
    advice = Advice("again", 5, 8, 84, "Once more.")
    return Work(title, title.lower(), **{"advice": advice, "run_s": run_s, **given})


def done(title: str) -> Work:
    return work(title, advice=Advice("rest", 1, 16, 96, "Clean: tomorrow."))


def lay(*works: Work, minutes: float = 20, so_far: PlayedToday = NOTHING) -> Today:
    return lay_today(works, so_far, minutes, SETTINGS, LADDER)


def shape(today: Today) -> str:
    return "".join(turn.work.title if turn.work else "-" for turn in today.turns)


def test_three_etudes_take_turns_of_three_minutes() -> None:
    today = lay(work("A"), work("B"), work("C"), work("D"))
    assert shape(today) == "ABCABCA"
    assert [turn.kind for turn in today.turns] == ["play"] * 3 + ["go-on"] * 4
    assert [turn.runs for turn in today.turns] == [3] * 6 + [2]  # a minute each
    assert [turn.starts_s for turn in today.turns] == [k * 180.0 for k in range(7)]


def test_after_a_rest_the_others_come() -> None:
    works = [work(title) for title in "ABCDE"]
    assert shape(lay(*works, minutes=45)) == "ABCABCA-DEADEAD"


def test_one_etude_goes_on_until_the_lips_must_rest() -> None:
    today = lay(work("A"), minutes=45)
    assert shape(today) == "A-A"
    assert [turn.runs for turn in today.turns] == [20, 0, 20]


def test_what_was_played_before_brings_the_rest_nearer() -> None:
    """Also where it was other etudes."""
    tired = PlayedToday(9, 4, 900.0, 60.0, 1150.0)
    assert shape(lay(work("A"), work("B"), so_far=tired)) == "-ABABA"
    assert shape(lay(work("A"), minutes=5, so_far=tired)) == ""


def test_a_long_run_is_played_whole_or_not_at_all() -> None:
    assert shape(lay(work("A", 400.0))) == "A"
    assert [turn.runs for turn in lay(work("A", 400.0), minutes=7).turns] == [1]
    (says,) = lay(work("A", 400.0), minutes=6).says
    assert says == "6 minutes is too short for it."
    assert shape(lay(work("A", 1500.0), minutes=60)) == "A-A"


def test_what_is_enough_for_today_is_named_and_left() -> None:
    today = lay(done("A"), work("B"), minutes=3)
    assert shape(today) == "B"
    assert [one.title for one in today.done] == ["A"]
    assert "Enough of A: Clean: tomorrow." in list(today_lines(today))
    assert lay(done("A")).says == ("All that is worked on is done for today.",)


def test_much_that_was_loud_is_told_of() -> None:
    hour = PlayedToday(80, 5, 5400.0, 3660.0, 0.0)
    told = lay(work("A"), so_far=hour).says
    assert told[0] == "Played today: 90 minutes, 61 of them loud, 80 runs of 5 etudes."
    assert "softer" in told[1]
    less = PlayedToday(80, 5, 5400.0, 3600.0, 0.0)
    assert len(lay(work("A"), so_far=less).says) == 1


def test_it_is_written_out_line_by_line() -> None:
    today = lay(work("A", is_new=True), work("B"), minutes=35)
    lines = list(today_lines(today))
    assert lines[:4] == [
        "35 minutes today:",
        "  0–3   A: new, bars 5 to 8 at 84, 3 runs or so",
        "        Once more.",
        "        coach rehearse a",
    ]
    assert " 20–25  rest the lips, away from the horn" in lines
    assert "  6–9   A: go on as the coach says by then" in lines
    laid = today_as_dict(today)
    assert laid["played"]["loud_minutes"] is None
    assert laid["turns"][0]["next"]["segment"] == {"from_bar": 5, "to_bar": 8}
    assert laid["turns"][7] == {
        "kind": "rest",
        "starts_min": 20.0,
        "minutes": 5.0,
        "runs": 0,
    }


@given(
    runs=st.lists(st.floats(0.5, 2000.0), max_size=6),
    minutes=st.integers(1, 600),
    since=st.floats(0.0, 3000.0),
)
def test_turns_follow_each_other_in_time_with_rests_between(
    runs: list[float], minutes: int, since: float
) -> None:
    works = [work(str(k), run_s) for k, run_s in enumerate(runs)]
    so_far = PlayedToday(1, 1, since, None, since)
    now = 0.0
    played = since
    for turn in lay(*works, minutes=minutes, so_far=so_far).turns:
        assert turn.starts_s == pytest.approx(now)
        now += turn.lasts_s
        played = 0.0 if turn.kind == "rest" else played + turn.lasts_s
        assert played <= LADDER.rest_after_s or turn.runs == 1
    assert now <= minutes * 60 + 1e-6


def test_the_time_since_a_rest_counts_pauses_and_no_run_that_nobody_played() -> None:
    runs = [run(8, lasted=Seconds(60.0)), run(2)]
    runs.append(run(5, is_completed=False, reached_bar=None))
    assert since_rest(runs, NOW, 300.0) == pytest.approx(2 * 60)
    assert since_rest(runs, NOW, 301.0) == pytest.approx(8 * 60)
    assert since_rest(runs, NOW + timedelta(minutes=9), 300.0) == 0.0
    assert since_rest([], NOW, 300.0) == 0.0
