"""What to play in the minutes that there are."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.config import read_settings
from coach.plain.today_lines import today_as_dict, today_lines
from coach.rehearsal.ahead.laying_today import lay_today
from coach.rehearsal.ahead.rests import since_rest
from coach.rehearsal.ahead.today import (
    BEGINS,
    PlayedToday,
    Today,
    TodaySettings,
    Work,
)
from coach.rehearsal.review.advice import Advice
from coach.score.tempo import Seconds
from tests.rehearsal.review.test_ladder import LADDER, NOW, run

SETTINGS = read_settings(TodaySettings, "rehearsal", "today")
NOTHING = PlayedToday(0, 0, 0.0, None, 0.0)
WARM = PlayedToday(1, 1, 60.0, None, 0.0)


def work(title: str, run_s: float = 45.0, **given: Any) -> Work:
    advice = Advice("again", 5, 8, 84, "Once more.")
    return Work(title, title.lower(), **{"advice": advice, "run_s": run_s, **given})


def done(title: str) -> Work:
    return work(title, advice=Advice("rest", 1, 16, 96, "Clean: tomorrow."))


def lay(*works: Work, minutes: float = 20, so_far: PlayedToday = WARM) -> Today:
    return lay_today(works, so_far, minutes, SETTINGS, LADDER)


def shape(today: Today) -> str:
    signs = {"warm-up": "w", "rest": "-"}
    return "".join(
        turn.work.title if turn.work else signs[turn.kind] for turn in today.turns
    )


def test_three_etudes_take_turns_of_three_minutes() -> None:
    today = lay(work("A"), work("B"), work("C"), work("D"))
    assert shape(today) == "ABCABCA"
    assert [turn.kind for turn in today.turns] == ["play"] * 3 + ["go-on"] * 4
    assert [turn.runs for turn in today.turns] == [3] * 6 + [2]  # a minute each
    assert [turn.starts_s for turn in today.turns] == [k * 180.0 for k in range(7)]


@pytest.mark.parametrize("minutes", [120, 600])
@pytest.mark.parametrize("before_s", [0.0, 3000.0])
def test_no_day_is_longer_than_the_coach_s_own_caution(
    minutes: float, before_s: float
) -> None:
    so_far = replace(NOTHING, runs=1, etudes=1, played_s=before_s)
    today = lay(work("A"), work("B"), minutes=minutes, so_far=so_far)
    played_s, longest_s = before_s, 0.0
    for turn in today.turns:
        if turn.kind == "rest":
            longest_s = max(longest_s, turn.lasts_s)
        else:
            played_s += turn.lasts_s
    assert played_s <= SETTINGS.most_played_s
    assert today.is_full == (played_s > SETTINGS.most_played_s - 60)
    assert today.is_full or minutes == 120
    assert any("for a doctor" in words for words in today.says) == today.is_full
    assert longest_s in (300.0, 3600.0), "as long as three stretches of playing"
    assert (longest_s == 3600.0) == (minutes == 600 and not before_s)


def test_on_a_full_day_nothing_more_is_laid_out_and_that_is_said() -> None:
    played = replace(WARM, played_s=5390.0)
    today = lay(work("A"), so_far=played)
    assert (today.turns, today.is_full) == ((), True)
    assert today.says[-1].startswith("That is as much playing")
    assert today_as_dict(today)["is_full"]
    whole = work("A", whole_bpm=72.0, whole_s=105.0)
    last = lay(whole, so_far=replace(WARM, played_s=5100.0)).turns
    assert sum(turn.lasts_s for turn in last) <= 300.0
    assert not lay(done("A"), so_far=played).is_full


def test_after_a_rest_the_others_come() -> None:
    works = [work(title) for title in "ABCDE"]
    assert shape(lay(*works, minutes=45)) == "ABCABCA-DEADEAD"


def test_one_etude_goes_on_as_the_coach_says_until_the_lips_must_rest() -> None:
    """So many runs of the same bars are never promised."""
    today = lay(work("A"), minutes=45)
    assert shape(today) == "AA-A"
    assert [turn.runs for turn in today.turns] == [3, 17, 0, 20]
    assert [turn.kind for turn in today.turns] == ["play", "go-on", "rest", "go-on"]


def test_nobody_begins_a_day_cold() -> None:
    """A few minutes, less where there is little time, and once a day."""
    today = lay(work("A"), work("B"), so_far=NOTHING)
    assert shape(today) == "wABABAB"
    assert today.turns[0].lasts_s == 180.0
    assert "long tones, softly" in today.turns[0].says
    assert lay(work("A"), so_far=NOTHING, minutes=60).turns[0].lasts_s == 240.0
    assert shape(lay(work("A"), work("B"))) == "ABABABA"
    assert lay(work("A", 1500.0), so_far=NOTHING).turns == (), "nothing to warm up for"
    assert shape(lay(so_far=NOTHING)) == ""


def test_a_play_through_says_where_the_air_runs_out() -> None:
    whole = work("A", whole_bpm=72.0, whole_s=105.0)
    dry = replace(whole, whole_runs_out=9)
    says = [lay(one).turns[-1].says for one in (whole, dry)]
    assert says == [
        "A: all of it once at 72, whatever happens",
        "A: all of it once at 72, whatever happens: the air runs out in bar 9, breathe "
        "there",
    ]


def test_an_etude_of_which_parts_come_next_is_played_through_at_the_end() -> None:
    whole = work("B", whole_bpm=72.0, whole_s=105.0)
    today = lay(work("A"), whole)
    assert shape(today) == "ABABABB"
    last = today.turns[-1]
    assert (last.kind, last.runs, last.lasts_s) == ("play-through", 1, 120.0)
    assert last.says == "B: all of it once at 72, whatever happens"
    assert last.starts_s + last.lasts_s <= 20 * 60


def test_an_etude_that_is_long_for_the_time_is_not_played_through() -> None:
    whole = work("A", whole_bpm=72.0, whole_s=300.0)
    assert "play-through" not in [turn.kind for turn in lay(whole).turns]
    assert lay(whole, minutes=40).turns[-1].kind == "play-through"


def test_who_plays_through_has_had_a_rest_if_one_was_due() -> None:
    whole = work("A", whole_bpm=72.0, whole_s=105.0)
    tired = PlayedToday(9, 4, 900.0, 60.0, 1000.0)
    assert [turn.kind for turn in lay(whole, so_far=tired, minutes=5).turns] == ["play"]


def test_a_shelf_of_which_nothing_can_be_read_is_not_too_short_a_time() -> None:
    assert lay(so_far=NOTHING).says == (
        "No etude on the shelf could be read: coach plan NAME says why.",
    )
    unfit = replace(lay(so_far=NOTHING), why_bare="None fits.")
    assert unfit.says == ("None fits.",)


def test_nothing_is_played_through_where_a_rest_is_due_and_does_not_fit() -> None:
    whole = work("A", run_s=20.0, whole_bpm=72.0, whole_s=60.0)
    kinds = [turn.kind for turn in lay(whole, minutes=25).turns]
    assert kinds == ["play", "go-on"]
    assert lay(whole, minutes=40).turns[-1].kind == "play-through"


def test_etudes_that_only_the_log_knows_are_named() -> None:
    today = lay_today([work("A")], NOTHING, 20, SETTINGS, LADDER, ("Old Friend",))
    assert today.says[-1].startswith("In your log, but not on the shelf: Old Friend.")
    assert today_as_dict(today)["not_on_shelf"] == ["Old Friend"]


def test_what_was_played_before_brings_the_rest_nearer() -> None:
    """Also where it was other etudes."""
    tired = PlayedToday(9, 4, 900.0, 60.0, 1150.0)
    assert shape(lay(work("A"), work("B"), so_far=tired)) == "-ABABA"
    assert shape(lay(work("A"), minutes=5, so_far=tired)) == ""


def test_a_long_run_is_played_whole_or_not_at_all() -> None:
    assert shape(lay(work("A", 400.0))) == "AA"
    assert [turn.runs for turn in lay(work("A", 400.0), minutes=7).turns] == [1]
    (says,) = lay(work("A", 400.0), minutes=6, so_far=NOTHING).says
    assert says == "6 minutes is too short for it."
    assert shape(lay(work("A", 1500.0), minutes=60)) == "A-A"


def test_what_is_enough_for_today_is_named_and_left() -> None:
    today = lay(done("A"), work("B"), minutes=3)
    assert shape(today) == "B"
    assert [one.title for one in today.done] == ["A"]
    assert "Enough of A: Clean: tomorrow." in list(today_lines(today))
    (says,) = lay(done("A"), so_far=NOTHING).says
    assert says == "All that is worked on is done for today."


def test_who_said_that_playing_harms_is_told_so_and_nothing_of_etudes() -> None:
    stop = Advice("rest", 1, 16, 96, "You said “dizzy”: rest.", is_for_harm=True)
    today = lay(work("A", advice=stop), work("B", advice=stop))
    assert today.says[-1] == "Nothing more for now."
    assert today.enough == ("You said “dizzy”: rest.",)


def test_a_turn_with_room_to_breathe_says_so() -> None:
    roomy = replace(work("A").advice, room_beats=0.5)
    says = lay(work("A", advice=roomy)).turns[0].says
    assert says.startswith("A: bars 5 to 8 at 84 with half a beat of room, ")


def test_where_nothing_was_played_yet_it_is_said_to_be_a_guess() -> None:
    guess = replace(lay(work("A", is_new=True), so_far=NOTHING), is_guess=True)
    assert guess.says == (BEGINS,)
    assert lay(work("A", is_new=True), so_far=NOTHING).says == ()


def test_much_that_was_loud_is_told_of() -> None:
    hour = PlayedToday(80, 5, 3700.0, 3660.0, 0.0)
    told = lay(work("A"), so_far=hour).says
    assert told[0] == "Played today: 62 minutes, 61 of them loud, 80 runs of 5 etudes."
    assert "softer" in told[1]
    less = PlayedToday(80, 5, 3700.0, 3600.0, 0.0)
    assert len(lay(work("A"), so_far=less).says) == 1


def test_it_is_written_out_line_by_line() -> None:
    today = lay(work("A", is_new=True), work("B", 100.0), minutes=35)
    lines = list(today_lines(today))
    assert lines[:5] == [
        "35 minutes today:",
        "Played today: 1 minute, 1 run of 1 etude.",
        "  0–3   A: new, bars 5 to 8 at 84, 3 runs or so",
        "        Once more.",
        "        coach rehearse a",
    ]
    assert " 20–25  rest the lips, away from the horn" in lines
    assert "  5–8   A: go on as the coach says by then" in lines
    laid = today_as_dict(today)
    assert laid["played"]["loud_minutes"] is None
    assert laid["turns"][0]["next"]["segment"] == {"from_bar": 5, "to_bar": 8}
    assert laid["turns"][1]["says"] == "B: bars 5 to 8 at 84, once"
    assert laid["then"] == lines[-1]
    rest = next(turn for turn in laid["turns"] if turn["kind"] == "rest")
    assert rest == {
        "kind": "rest",
        "says": "rest the lips, away from the horn",
        "starts_min": 19.7,
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
    ahead = run(-60 * 24)
    assert since_rest([*runs, ahead], NOW, 300.0) == pytest.approx(2 * 60)


@given(
    st.lists(st.floats(3.0, 200.0), min_size=1, max_size=3),
    st.floats(1.0, 90.0),
    st.booleans(),
)
def test_no_turn_lasts_less_than_a_minute(
    runs_s: list[float], minutes: float, is_cold: bool
) -> None:
    works = [work("ABC"[k], run_s, whole_s=run_s) for k, run_s in enumerate(runs_s)]
    today = lay(*works, minutes=minutes, so_far=NOTHING if is_cold else WARM)
    for turn in today.turns:
        assert turn.minutes[0] < turn.minutes[1], turn.says


def test_what_is_enough_for_one_reason_is_said_once() -> None:
    sore = Advice("rest", 1, 16, 96, "Rest the lips.")
    today = lay(work("A", advice=sore), work("B", advice=sore), done("C"))
    assert today.enough == (
        "Enough of A, B: Rest the lips.",
        "Enough of C: Clean: tomorrow.",
    )
