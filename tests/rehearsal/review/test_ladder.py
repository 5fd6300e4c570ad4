"""What to play next: the scale of tempos, and when to move on."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from coach.config import read_settings
from coach.planning.breath_place import BreathPlace
from coach.rehearsal.ahead.outlook import Ahead, Outlook
from coach.rehearsal.click.tempo_scale import TempoSettings
from coach.rehearsal.review.advice import Advice, Standing
from coach.rehearsal.review.footing import climb
from coach.rehearsal.review.ladder import advise, tempo_now
from coach.rehearsal.review.ladder_settings import LadderSettings
from coach.rehearsal.review.parts import SoFar, first_tempo
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import Run
from coach.score.tempo import Seconds

NOW = datetime(2025, 3, 4, 10, 0, tzinfo=UTC)

SCALE = read_settings(TempoSettings, "rehearsal", "tempo")
LADDER = read_settings(LadderSettings, "rehearsal", "ladder")

HERE = Standing(
    from_bar=5,
    to_bar=8,
    is_whole=False,
    bpm=84,
    goal_bpm=96,
    following=(9, 12),
    bars=(1, 16),
    now=NOW,
)

PARTS = ((1, 5), (5, 9), (9, 13), (13, 16))


def run(
    minutes_ago: float = 1.0,
    *,
    is_clean: bool | None = True,
    bpm: float = 84,
    marks: tuple[Mark, ...] = (),
    **other: Any,
) -> Run:
    """Make a run of bars 5 to 8 that lasted ten seconds."""
    given: dict[str, Any] = {
        "etude": "By Hand",
        "from_bar": 5,
        "to_bar": 8,
        "is_completed": True,
        "lasted": Seconds(10.0),
        "reached_bar": 8,
    }
    return Run(
        started=NOW - timedelta(minutes=minutes_ago),
        is_clean=is_clean,
        bpm=bpm,
        marks=marks,
        **{**given, **other},
    )


def mark(kind: MarkKind, bar: int = 7) -> Mark:
    return Mark(kind, bar, 1.0, Seconds(1.0))


def failing(*minutes_ago: float, **other: Any) -> list[Run]:
    """Make runs that were not clean."""
    return [run(ago, is_clean=False, **other) for ago in minutes_ago]


def ask(*runs: Run, here: Standing = HERE) -> Advice:
    return advise(runs, here, LADDER, SCALE)


def test_the_first_tempo_is_a_notch_well_below_the_goal() -> None:
    assert first_tempo(96, SCALE, LADDER) == 60  # 0.65 of it is 62.4
    assert first_tempo(58, SCALE, LADDER) == 36  # 0.65 of it is 37.7
    assert first_tempo(96, SCALE, replace(LADDER, start_share=1.0)) == 96


def test_new_bars_begin_slowly() -> None:
    advice = ask()
    assert (advice.kind, advice.bpm) == ("again", 60)
    assert "new" in advice.why


def test_a_run_stopped_in_its_count_in_tells_nothing() -> None:
    stopped = run(is_clean=False, is_completed=False, reached_bar=None, lasted=0.0)
    assert "new" in ask(stopped).why


def test_runs_that_nobody_attended_move_nothing() -> None:
    alone = [run(k, is_clean=None, is_attended=False) for k in (6, 5, 4)]
    assert replace(ask(*alone), why="") == replace(ask(), why="")
    assert ask(run(7), *alone, run(2), run(1)).kind == "faster"


def test_runs_without_a_word_are_asked_about_and_move_nothing() -> None:
    silent = [run(k, is_clean=None) for k in (6, 5, 4)]
    assert "Nobody said" in ask(*silent).why
    assert ask(run(7), *silent, run(2), run(1)).kind == "faster"
    assert ask(*silent, run(3)) == ask(run(3))


def test_after_a_run_without_a_word_it_is_said_what_the_advice_goes_by() -> None:
    failed = run(9, is_clean=False)
    advice = ask(failed, run(2, is_clean=None))
    assert advice.why == ask(failed).why
    assert advice.silence == (
        "No word on the last run (c says clean, t not clean, after a run or in the "
        "log); the one before it was not clean."
    )
    assert advice.says == f"{advice.silence} {advice.why}"
    twice = ask(failed, run(8), run(2, is_clean=None), run(1, is_clean=None))
    assert "last 2 runs" in twice.silence
    assert "before them was clean" in twice.silence


def test_nothing_is_said_of_silence_that_changes_nothing() -> None:
    """A word came since, the runs are of other bars, or nobody is there to play."""
    failed, silent = run(9, is_clean=False), run(2, is_clean=None)
    stopped = run(1, is_clean=None, is_completed=False, reached_bar=5)
    assert not ask(failed, silent, run(1)).silence
    assert not ask(failed, replace(silent, from_bar=9, to_bar=12)).silence
    assert not ask(silent).silence
    assert not ask(failed, stopped).silence
    assert not ask(failed, silent, run(0.5, lasted=2000.0, bpm=60)).silence


def test_three_clean_runs_in_a_row_move_up_a_notch() -> None:
    advice = ask(run(3), run(2), run(1))
    assert (advice.kind, advice.bpm) == ("faster", 88)
    assert "3 clean runs in a row at 84" in advice.why


def test_two_clean_runs_are_one_too_few() -> None:
    advice = ask(run(3, is_clean=False), run(2), run(1))
    assert (advice.kind, advice.bpm) == ("again", 84)
    assert "2 clean in a row; 1 more" in advice.why


def test_clean_runs_at_another_tempo_or_of_other_bars_do_not_count() -> None:
    other = [run(7, is_clean=False), run(6), run(5), run(4, from_bar=1)]
    assert "1 clean in a row; 2 more" in ask(*other, run(3, bpm=80)).why


def test_a_fraction_of_a_beat_is_the_same_tempo() -> None:
    failed = run(4, bpm=84, is_clean=False)
    assert "2 clean in a row" in ask(failed, run(3), run(2, bpm=84.2)).why


def test_moving_up_never_goes_past_the_goal() -> None:
    here = replace(HERE, goal_bpm=86)
    assert ask(run(3), run(2), run(1), here=here).bpm == 86


def test_at_the_goal_the_next_bars_come() -> None:
    here = replace(HERE, goal_bpm=84)
    advice = ask(run(3), run(2), run(1), here=here)
    assert (advice.kind, advice.from_bar, advice.to_bar) == ("next", 9, 12)


def test_after_the_last_bars_all_of_it_comes() -> None:
    here = replace(HERE, goal_bpm=84, following=None)
    advice = ask(run(3), run(2), run(1), here=here)
    assert (advice.kind, advice.from_bar, advice.to_bar) == ("whole", 1, 16)


def test_the_whole_at_its_goal_rests_until_tomorrow() -> None:
    here = replace(HERE, goal_bpm=84, is_whole=True)
    advice = ask(run(3), run(2), run(1), here=here)
    assert advice.kind == "rest"
    assert "tomorrow" in advice.why


A_DAY = 24.0 * 60
ALL = replace(HERE, from_bar=1, to_bar=16, is_whole=True, following=None)


def at_goal(*days_ago: float, is_clean: bool = True) -> list[Run]:
    """Make a run of all of it at the goal on each day."""
    return [
        run(days * A_DAY + 1, bpm=96, from_bar=1, to_bar=16, is_clean=is_clean)
        for days in days_ago
    ]


def test_at_the_goal_nothing_is_said_of_moving_up() -> None:
    told = ask(*at_goal(2, 1), here=ALL)
    assert (told.kind, told.bpm) == ("again", 96)
    assert told.why == "Clean at 96 on another day: see whether it still is."


def test_what_was_clean_at_the_goal_on_three_days_is_left_for_a_week() -> None:
    in_a_week = "Clean at 96, the goal, on 3 days: come back to it in a week."
    told = ask(*at_goal(3, 2, 1), here=ALL)
    assert (told.kind, told.bpm, told.why) == ("rest", 96, in_a_week)
    assert ask(*at_goal(2, 1, 0), here=ALL).why == in_a_week
    assert ask(*at_goal(9, 8, 7), here=ALL).kind == "again"


def test_it_is_not_left_where_it_went_wrong_since_or_was_clean_on_fewer_days() -> None:
    wrong = at_goal(1, is_clean=False)
    assert ask(*at_goal(4, 3, 2), *wrong, here=ALL).kind == "again"
    assert ask(*at_goal(2, 2, 1), here=ALL).kind == "again"
    of_a_part = [replace(one, from_bar=5, to_bar=8) for one in at_goal(3, 2, 1)]
    assert ask(*of_a_part).kind == "again"


def test_three_failed_runs_move_down_a_notch_and_say_what_failed() -> None:
    rushed = (mark(MarkKind.RUSHED, 6),)
    marked = run(4, is_clean=False, marks=rushed)
    advice = ask(run(5), marked, *failing(3, 1))
    assert (advice.kind, advice.bpm) == ("slower", 80)
    assert "(rushed once in bar 6)" in advice.why


def test_of_faults_that_are_marked_as_often_the_air_is_named() -> None:
    marks = (mark(MarkKind.RUSHED, 6), mark(MarkKind.RAN_OUT, 8))
    advice = ask(run(5), run(4, is_clean=False, marks=marks), *failing(3, 1))
    assert "(ran out once in bar 8)" in advice.why
    assert advice.why.endswith("go down to 80, and breathe before bar 8.")


def test_failed_runs_without_a_mark_move_down_too() -> None:
    advice = ask(run(4), *failing(3, 2, 1))
    assert advice.why == "3 runs at 84 were not clean: go down to 80."


def test_what_was_never_clean_goes_down_by_far() -> None:
    """A tempo at which nothing is clean yet is no matter of a notch."""
    advice = ask(*failing(3, 2, 1))
    assert advice.why == "3 runs at 84 were not clean: go down to 72."
    elsewhere = run(4, from_bar=9, to_bar=12)
    assert ask(elsewhere, *failing(3, 2, 1)).bpm == 80


def test_a_long_step_up_is_for_tempos_far_from_the_goal() -> None:
    """As long as nothing has failed; near the goal it is a single notch."""
    assert ask(run(1, bpm=69)).bpm == 76
    assert ask(run(1, bpm=72)).bpm == 76
    assert ask(run(3, bpm=69, is_clean=False), run(2, bpm=63)).bpm == 63


def test_near_the_goal_two_clean_runs_are_enough() -> None:
    """The goal itself asks for three."""
    failed = run(4, is_clean=False, bpm=88)
    advice = ask(failed, run(3, bpm=88), run(2, bpm=88))
    assert (advice.kind, advice.bpm) == ("faster", 92)
    at_goal = failing(4, bpm=96)
    assert ask(*at_goal, run(3, bpm=96), run(2, bpm=96)).kind == "again"


def test_one_failed_run_is_tried_once_more() -> None:
    advice = ask(run(2), run(1, is_clean=False))
    assert (advice.kind, advice.bpm) == ("again", 84)
    assert "Not clean yet" in advice.why


def test_running_out_twice_in_a_bar_asks_for_a_breath_not_for_less_speed() -> None:
    """Slower takes more air: common practice, no published source."""
    out = (mark(MarkKind.RAN_OUT),)
    advice = ask(run(2, is_clean=False, marks=out), run(1, is_clean=False, marks=out))
    assert (advice.kind, advice.bpm) == ("breathe", 84)
    assert advice.why.startswith("Ran out twice in bar 7: ")
    assert advice.why.endswith("Slower would take more air.")


def test_where_several_things_go_wrong_each_is_counted_in_one_voice() -> None:
    """One fault is not told as if it were all, nor slower as both cure and harm."""
    rushed, missed = mark(MarkKind.RUSHED), mark(MarkKind.MISSED)
    out = mark(MarkKind.RAN_OUT)
    failed = [
        run(9 - k, is_clean=False, marks=(one,))
        for k, one in enumerate((rushed, out, missed, out, rushed, out, rushed, out))
    ]
    advice = ask(run(10), *failed[:3])
    assert advice.why == (
        "3 runs at 84 were not clean (in bar 7: ran out once, rushed once, missed "
        "once): go down to 80, and breathe before bar 7."
    )
    assert ask(run(10), *failed[:4]).why == (
        "Ran out twice in bar 7: breathe before it, or softer."
    )
    assert ask(run(10), *failed).kind != "faster", "half of them were rushed"


def test_running_out_in_two_different_bars_moves_down() -> None:
    runs = [
        run(2, is_clean=False, marks=(mark(MarkKind.RAN_OUT, 5),)),
        run(1, is_clean=False, marks=(mark(MarkKind.RAN_OUT, 7),)),
    ]
    assert ask(run(4), *failing(3), *runs).kind == "slower"


def test_on_a_new_day_the_old_tempo_is_tested_first() -> None:
    """Gains show after a night: Simmons 2012, J. Res. Music Educ. 59:357–368."""
    yesterday = [run(60 * 24 + k, bpm=88) for k in (3, 2, 1)]
    advice = ask(*yesterday)
    assert (advice.kind, advice.bpm) == ("again", 88)
    assert "Clean at 88 on another day" in advice.why


def test_on_a_new_day_with_nothing_clean_one_goes_on() -> None:
    yesterday = [run(60 * 24, is_clean=False)]
    assert "Not clean yet" in ask(*yesterday).why


def test_after_twenty_minutes_without_one_a_rest_is_due() -> None:
    runs = [run(minutes) for minutes in range(21, 0, -1)]
    advice = ask(*runs)
    assert advice.kind == "rest"
    assert advice.why.startswith("21 minutes without a rest, 4 minutes of it played")


def test_a_rest_of_five_minutes_starts_the_count_anew() -> None:
    before = [run(minutes) for minutes in range(30, 14, -1)]
    after = [run(minutes) for minutes in range(8, 0, -1)]
    assert ask(*before, *after).kind == "faster"


def test_the_time_played_is_no_rest() -> None:
    runs = [run(minutes, lasted=Seconds(290.0)) for minutes in (25, 19, 13, 7, 1)]
    assert ask(*runs).kind == "rest"


def test_three_minutes_on_the_same_bars_are_enough() -> None:
    """Passages in turn: Carter & Grahn 2016, Front. Psychol. 7:1251."""
    runs = [run(4 - k / 2, is_clean=k % 2 == 0, lasted=Seconds(30.0)) for k in range(7)]
    advice = ask(*runs)
    assert (advice.kind, advice.from_bar) == ("next", 9)
    assert "4 minutes on the same bars" in advice.why


def test_the_whole_may_take_longer() -> None:
    runs = [run(4 - k / 2, is_clean=k % 2 == 0, lasted=Seconds(30.0)) for k in range(7)]
    assert ask(*runs, here=replace(HERE, is_whole=True)).kind == "again"


def test_minutes_of_an_earlier_sitting_do_not_count() -> None:
    early = [run(120 + k, is_clean=k % 2 == 0, lasted=Seconds(60.0)) for k in range(9)]
    assert ask(*early[::-1], run(1)).kind == "again"


# Whatever is suggested can be set.


DOTTED = replace(HERE, bpm=113 / 1.5, goal_bpm=113 / 1.5)
"""A page with 113 quarters, counted in dotted ones: 75.33."""


def test_the_goal_is_reached_in_whole_beats() -> None:
    clean = [run(k, bpm=DOTTED.bpm) for k in (3, 2, 1)]
    advice = ask(*clean, here=DOTTED)
    assert (advice.kind, advice.bpm) == ("next", 72)
    assert "3 clean runs in a row at 75, the goal" in advice.why
    above = [run(k, bpm=160) for k in (3, 2, 1)]
    assert "at 160, above the goal 75" in ask(*above, here=DOTTED).why
    below = [run(k, bpm=72) for k in (3, 2, 1)]
    assert ask(*below, here=replace(DOTTED, bpm=72)).bpm == 75


def test_a_tempo_that_cannot_be_set_is_tested_on_the_slower_side() -> None:
    yesterday = [run(60 * 24, bpm=DOTTED.bpm)]
    assert ask(*yesterday, here=DOTTED).why.startswith("Clean at 75 on another day")


@given(
    st.lists(
        st.tuples(
            st.floats(0.1, 3000),
            st.floats(20, 400),
            st.booleans(),
            st.sampled_from([*MarkKind, None]),
        ),
        max_size=6,
    ),
    st.floats(20, 400),
    st.floats(31, 400),
    st.booleans(),
)
def test_every_tempo_that_is_suggested_can_be_set(
    played: list[tuple[float, float, bool, MarkKind | None]],
    bpm: float,
    goal_bpm: float,
    is_one_tempo: bool,
) -> None:
    runs = [
        run(
            ago,
            bpm=bpm if is_one_tempo else other,
            is_clean=is_clean,
            marks=() if kind is None else (mark(kind),),
        )
        for ago, other, is_clean, kind in sorted(played, key=lambda one: -one[0])
    ]
    advice = ask(*runs, here=replace(HERE, bpm=bpm, goal_bpm=goal_bpm))
    assert advice.bpm == int(advice.bpm)
    assert "." not in advice.why.rstrip(".").replace(". ", " ")
    if advice.kind == "slower":
        assert advice.bpm <= max(one.bpm for one in runs)
    assert advice.bpm >= SCALE.slowest_bpm
    if "begin at" in advice.why:
        assert advice.bpm <= goal_bpm


# The ladder settles, and says something else before it says the same for ever.


def test_counts_begin_anew_after_a_move_down() -> None:
    before = [run(9, bpm=80), run(8, bpm=80), run(7, bpm=80)]
    runs = [*before, *failing(6, 5, 4), run(3, bpm=80)]
    assert "1 clean in a row; 3 more" in ask(*runs).why


def test_a_tempo_that_was_given_up_takes_one_more_clean_run() -> None:
    again = [run(3 - k / 4, bpm=80) for k in range(4)]
    runs = [run(9, bpm=80), *failing(6, 5, 4), *again]
    assert ask(*runs[:-1]).kind == "again"
    assert (ask(*runs).kind, ask(*runs).bpm) == ("faster", 84)


def test_a_faster_tempo_that_fails_at_once_sends_to_the_part_in_the_way() -> None:
    here = replace(HERE, from_bar=1, to_bar=16, is_whole=True, parts=PARTS)
    whole: dict[str, Any] = {
        "from_bar": 1,
        "to_bar": 16,
        "is_whole": True,
        "reached_bar": 16,
    }
    wrong = (mark(MarkKind.MISSED, 11),)
    failed = failing(4, 3, 2, marks=wrong, **whole)
    advice = ask(run(5, bpm=80, **whole), *failed, here=here)
    assert (advice.kind, advice.from_bar, advice.to_bar) == ("part", 9, 13)
    assert advice.bpm == 84
    assert "bars 9 to 13 alone" in advice.why
    alone: dict[str, Any] = {"from_bar": 9, "to_bar": 13, "reached_bar": 13}
    back = ask(*failed, run(1, **alone), here=here)
    assert back.kind == "again", "what failed before the part was practised is over"


def test_a_mended_part_is_joined_in_steps() -> None:
    """With the parts beside it first, and only then with all."""
    failed = failing(9, 8, 7, from_bar=1, to_bar=16, is_whole=True)
    runs, bars, seen = list(failed), (9, 13), []
    for minutes in (4, 3):
        runs.append(run(minutes, from_bar=bars[0], to_bar=bars[1], reached_bar=bars[1]))
        here = replace(HERE, from_bar=bars[0], to_bar=bars[1], parts=PARTS)
        advice = ask(*runs, here=here)
        assert "join them again" in advice.why
        bars = advice.from_bar, advice.to_bar
        seen.append((advice.kind, bars, advice.bpm))
    assert seen == [("next", (5, 16), 84), ("whole", (1, 16), 84)]


def test_a_part_that_is_slower_than_what_waits_for_it_climbs_first() -> None:
    failed = failing(4, from_bar=1, to_bar=16, is_whole=True)
    advice = ask(*failed, run(1, bpm=76))
    assert (advice.kind, advice.bpm) == ("faster", 80)


def test_a_part_that_fails_too_goes_down_by_itself() -> None:
    here = replace(HERE, from_bar=1, to_bar=16, is_whole=True, parts=PARTS)
    wrong = (mark(MarkKind.MISSED, 6),)
    part = failing(9, from_bar=5, to_bar=9, bpm=76)
    failed = failing(3, 2, 1, from_bar=1, to_bar=16, marks=wrong)
    assert ask(*part, *failed, here=here).bpm == 76


def test_where_no_part_is_marked_the_least_known_comes() -> None:
    here = replace(HERE, from_bar=1, to_bar=16, is_whole=True, parts=PARTS)
    known = run(30, from_bar=1, to_bar=5)
    advice = ask(known, *given_up_twice(), here=here)
    assert (advice.kind, advice.from_bar, advice.to_bar) == ("part", 5, 9)


def test_what_fails_now_here_now_there_is_too_fast_and_no_matter_of_a_part() -> None:
    here = replace(HERE, from_bar=1, to_bar=16, is_whole=True, parts=PARTS)
    whole: dict[str, Any] = {"from_bar": 1, "to_bar": 16, "reached_bar": 16}
    failed = [
        run(3 - k, is_clean=False, marks=(mark(MarkKind.MISSED, bar),), **whole)
        for k, bar in enumerate((6, 6, 11))
    ]
    assert ask(run(9, bpm=80, **whole), *failed, here=here).kind == "slower"


def test_a_tempo_that_was_given_up_and_fails_again_sends_to_a_part() -> None:
    """Another move down would only be followed by another up."""
    whole: dict[str, Any] = {"from_bar": 1, "to_bar": 16, "reached_bar": 16}
    here = replace(HERE, from_bar=1, to_bar=16, is_whole=True, parts=PARTS)
    before = [
        *failing(30, 29, 28, bpm=84, **whole),
        *(run(20 - k, bpm=80, **whole) for k in range(4)),
    ]
    assert ask(*before, *failing(3, 2, bpm=84, **whole), here=here).kind == "again"
    again = failing(3, 2, 1, bpm=84, **whole)
    assert ask(*before, *again, here=here).kind == "part"
    assert ask(*before[3:], *again, here=here).kind == "slower"


def test_a_single_bar_that_fails_has_no_smaller_part_and_goes_down() -> None:
    one: dict[str, Any] = {"from_bar": 7, "to_bar": 7, "reached_bar": 7}
    here = replace(HERE, from_bar=7, to_bar=7)
    marks = (mark(MarkKind.MISSED),)
    failed = failing(3, 2, 1, marks=marks, **one)
    assert ask(run(9, bpm=80, **one), *failed, here=here).kind == "slower"


def given_up_twice() -> list[Run]:
    """Make runs of the whole, with nothing marked, after two moves down today."""
    whole: dict[str, Any] = {"from_bar": 1, "to_bar": 16, "reached_bar": 16}
    return [
        *failing(20, 19, 18, bpm=92, **whole),
        *failing(17, 16, 15, bpm=88, **whole),
        *failing(14, 13, 12, bpm=84, **whole),
    ]


def test_where_parts_are_not_known_the_bars_around_the_worst_come() -> None:
    wrong = (mark(MarkKind.MISSED, 7),)
    advice = ask(*failing(3, 2, 1, marks=wrong))
    assert (advice.kind, advice.from_bar, advice.to_bar) == ("part", 6, 8)


def test_after_two_moves_down_it_is_left_for_today() -> None:
    runs = [
        *failing(20, 19, 18, bpm=92),
        *failing(17, 16, 15, bpm=88),
        *failing(14, 13, 12, 11, bpm=84),
    ]
    advice = ask(*runs)
    assert (advice.kind, advice.from_bar) == ("next", 9)
    assert "leave it for today" in advice.why
    last = ask(*runs, here=replace(HERE, following=None))
    assert last.kind == "rest"
    clean = [run(10 - k, bpm=84) for k in range(3)]
    assert "was too fast today" in ask(*runs, *clean).why


def test_nothing_slower_than_the_slowest_is_suggested() -> None:
    advice = ask(*failing(4, 3, 2, 1, bpm=20))
    assert advice.kind == "next"
    assert "leave it" in advice.why


def test_air_that_runs_out_again_and_again_is_met_in_other_ways() -> None:
    out = (mark(MarkKind.RAN_OUT),)
    runs = [run(9, bpm=80), *failing(8, 7, 6, 5, 4, 3, marks=out)]
    assert ask(*runs[:3]).kind == "breathe"
    faster = ask(*runs[:5])
    assert (faster.kind, faster.bpm) == ("faster", 88)
    assert "slower would take more air" in faster.why
    assert ask(*runs).kind == "part"
    at_goal = replace(HERE, goal_bpm=84)
    assert ask(*runs[:5], here=at_goal).kind == "part"


def test_a_breath_that_was_missed_before_is_named_first() -> None:
    marks = (mark(MarkKind.MISSED_BREATH, 6), mark(MarkKind.RAN_OUT))
    assert "the breath in bar 6 was missed" in ask(*failing(2, 1, marks=marks)).why


def test_false_starts_are_no_failures() -> None:
    false = failing(4, 3, 2, is_completed=False, reached_bar=5)
    assert ask(*false) == ask()
    assert ask(run(5), *false) == ask(run(5))


def test_one_run_far_above_is_a_trial_and_moves_nothing() -> None:
    tried = ask(run(3), run(2, bpm=76), run(1, bpm=96))
    assert (tried.kind, tried.bpm) == ("again", 96)
    assert "once more at 96, to be sure" in tried.why
    beyond = ask(run(2, bpm=76), run(1, bpm=120))
    assert (beyond.kind, beyond.bpm) == ("again", 96)
    assert beyond.why == "Clean at 120, far above 76: now at 96, to be sure."
    failed = ask(run(2, bpm=76), run(1, bpm=96, is_clean=False))
    assert (failed.kind, failed.bpm) == ("slower", 76)
    twice = [run(1, bpm=96), run(0.5, bpm=96)]
    assert "2 clean in a row; 1 more and it is there" in ask(run(2, bpm=76), *twice).why


def test_a_trial_that_is_not_followed_is_no_run_of_the_next_rung() -> None:
    runs = [run(3, bpm=76), run(2, bpm=96), run(1, bpm=80)]
    stands = climb(runs, LADDER.trial_notches_count, SCALE)
    assert stands is not None
    assert (stands.bpm, [r.bpm for r in stands.runs]) == (80, [80])
    runs = [run(3, bpm=76), run(2, bpm=96), run(1, bpm=96)]
    stands = climb(runs, LADDER.trial_notches_count, SCALE)
    assert stands is not None
    assert (stands.bpm, len(stands.runs)) == (96, 2)


def test_one_lucky_run_weeks_ago_is_not_the_tempo_to_begin_with() -> None:
    week = 60 * 24 * 7
    runs = [run(3 * week + 9 - k, bpm=bpm) for k, bpm in enumerate((76, 76, 96))]
    advice = ask(*runs, *failing(3 * week + 1, bpm=80))
    assert advice.bpm == 66, "three notches below 76"
    assert "21 days ago: begin again at 66" in advice.why


def test_failed_runs_of_another_day_begin_a_notch_slower() -> None:
    advice = ask(*failing(3000, 2999, 2998))
    assert (advice.kind, advice.bpm) == ("again", 80)


def test_the_goal_is_tried_now_and_then() -> None:
    here = replace(HERE, is_whole=True)
    long = [run(2900 + k, bpm=80) for k in range(40)]
    today = [run(3, bpm=80, is_clean=False), run(2, bpm=80)]
    advice = ask(*long[::-1], *today, here=here)
    assert (advice.kind, advice.bpm) == ("goal", 96)
    tried = [run(2800, bpm=96, is_clean=False)]
    assert ask(*long[::-1], *tried, *today, here=here).kind == "again"
    assert ask(*long[:20], *today, here=here).kind == "again"
    far = replace(here, goal_bpm=120)
    assert ask(*long[::-1], *today, here=far).kind == "again"


def test_bars_that_were_never_played_begin_where_the_others_are_clean() -> None:
    played = [run(9, bpm=72), run(8, bpm=72)]
    elsewhere = replace(HERE, from_bar=9, to_bar=12)
    assert ask(*played, here=elsewhere).bpm == 69
    within = replace(HERE, from_bar=6, to_bar=7)
    assert ask(*played, here=within).bpm == 72
    wider = replace(HERE, from_bar=1, to_bar=16, is_whole=True)
    assert ask(*played, here=wider).bpm == 69


def test_a_rest_counts_the_runs_of_all_etudes() -> None:
    others = [run(minutes, etude="Another") for minutes in range(24, 2, -1)]
    here = replace(HERE, day=tuple(others))
    assert ask(run(1), here=here).kind == "rest"
    silent = [replace(one, is_completed=False, reached_bar=None) for one in others]
    assert ask(run(1), here=replace(HERE, day=tuple(silent))).kind != "rest"


def test_the_stand_changes_nothing_of_what_is_said() -> None:
    runs = [run(4, bpm=58), *failing(3, 2, 1, bpm=58)]
    at_goal = replace(HERE, bpm=96)
    assert ask(*runs) == ask(*runs, here=at_goal)


def test_of_parts_that_are_as_little_known_the_hardest_comes() -> None:
    def look(bars: tuple[int, int], _: float) -> Ahead | None:
        quick = {(5, 9): 4.0, (9, 13): 7.0}.get(bars)
        return None if quick is None else Ahead(0.6, None, (), quick, 0.5)

    whole = replace(
        HERE, from_bar=1, to_bar=16, is_whole=True, parts=PARTS, outlook=Outlook(look)
    )
    told = ask(*given_up_twice(), here=whole)
    assert (told.kind, told.from_bar, told.to_bar) == ("part", 9, 13)


def test_what_was_left_is_gone_back_to_at_once_where_the_page_has_no_parts() -> None:
    left = run(is_clean=False, from_bar=1, to_bar=16)
    so_far = SoFar((left,), replace(HERE, parts=()), LADDER, SCALE)
    waits = so_far.waits_for((5, 8), 96.0)
    assert waits is not None
    assert waits[0] == (1, 16)


def test_what_failed_far_above_the_goal_is_passed_over() -> None:
    """Twice the goal is an accident: it is neither tried again nor a fall."""
    far = failing(3, 2, 1, bpm=192)
    told = ask(*far)
    assert (told.kind, told.bpm) == ("again", 60)
    assert told.why.startswith("192, far above the goal, was not clean: begin at 60")
    assert tempo_now(far, HERE, LADDER, SCALE) == 60
    told = ask(run(9), run(8), *far)
    assert (told.kind, told.bpm) == ("faster", 88)
    near = failing(3, 2, 1, bpm=100)
    assert ask(run(9), *near).kind == "slower"


def test_what_is_clean_far_above_the_goal_counts() -> None:
    told = ask(run(3, bpm=192), run(2, bpm=192), run(1, bpm=192))
    assert told.kind == "next"
    assert "192, above the goal" in told.why


def test_bars_without_a_word_are_not_called_new() -> None:
    alone = run(is_clean=None, is_attended=False)
    assert ask(alone).why.startswith(
        "Nothing tells yet how these bars go (c says clean"
    )
    unheard = run(
        is_clean=None, is_attended=False, reached_bar=None, is_completed=False
    )
    assert ask(unheard).why.startswith("These bars are new")


def test_what_fails_far_above_the_goal_tells_where_it_was_clean_up_there() -> None:
    up_there = [run(9, bpm=192), run(8, bpm=192)]
    told = ask(*up_there, *failing(3, 2, 1, bpm=192))
    assert told.clean == 0
    assert told.kind == "slower"
    assert told.bpm < 192


def test_one_run_that_fails_above_the_goal_leads_back_to_it() -> None:
    told = ask(*failing(1, bpm=100))
    assert (told.kind, told.bpm) == ("slower", 96)
    assert told.why == "100, above the goal, is not clean: back to 96."
    told = ask(run(3, bpm=100), run(2, bpm=100), *failing(1, bpm=100))
    assert (told.kind, told.bpm) == ("again", 100)
    assert ask(*failing(1, bpm=96)).kind == "again"


def test_that_slower_takes_more_air_is_not_said_of_each_turn_of_the_same() -> None:
    slow, goal = Ahead(0.3, None, (), 2.0, 0.5), Ahead(0.6, None, (), 2.0, 0.5)
    look = Outlook(lambda _, bpm: goal if bpm >= 96 else slow)
    here = replace(HERE, outlook=look)
    said = [
        "Slower takes more air" in ask(*failing(*ago), here=here).why
        for ago in ((2,), (2, 1), (5, 4, 3, 2))
    ]
    assert said == [True, False, True]


def test_why_so_many_clean_runs_are_wanted_is_said() -> None:
    assert ask(*failing(3), run(2)).why == (
        "1 clean in a row; 2 more and it goes up: three in all, since not every run "
        "here was clean."
    )
    gave_up = [*failing(40, 39, 38), *failing(37, bpm=80), run(36, bpm=80)]
    assert ask(*gave_up).why.endswith("four in all, since 84 went wrong before.")
    twice = [*gave_up, *failing(20), run(19, bpm=80)]
    assert ask(*twice).why.endswith("five in all, since 84 went wrong twice before.")


def test_where_few_clean_runs_are_wanted_no_reason_is_given() -> None:
    near = ask(*failing(5, bpm=92), run(4, bpm=92))
    assert near.why == "1 clean in a row; 1 more and it goes up."
    assert ask(run(1, bpm=96)).why == "1 clean in a row; 2 more and it is there."


def out_in(*bars: int) -> list[Run]:
    """Make runs in which the air ran out, one bar each."""
    return [
        run(20 - k, is_clean=False, marks=(mark(MarkKind.RAN_OUT, bar),))
        for k, bar in enumerate(bars)
    ]


def breathing(known: tuple[int, ...], learned: tuple[int, ...] | None) -> Standing:
    """Stand where plans breathe on second beats, as known so far and as learned."""
    plan, anew = (
        None
        if bars is None
        else Ahead(
            0.5,
            None,
            bars,
            4.0,
            0.5,
            tuple(BreathPlace(bar, 2.0, is_on=False) for bar in bars),
        )
        for bars in (known, learned)
    )
    look = Outlook(lambda _, __: plan, ask_anew=lambda _, __: anew)
    return replace(HERE, outlook=look)


def test_a_breath_that_the_plan_takes_for_the_air_it_has_learned_is_told() -> None:
    advice = ask(*out_in(7, 7), here=breathing((5,), (5, 6, 8)))
    assert (advice.kind, advice.bpm) == ("breathe", 84)
    assert advice.why == (
        "Ran out twice in bar 7: your air is learned to be less, and there is now a "
        "breath after bar 6, beat 2. Slower would take more air."
    )


def test_a_breath_that_is_planned_already_is_to_be_taken_full() -> None:
    for learned in ((5,), (5, 7), (5, 8)):
        advice = ask(*out_in(7, 7), here=breathing((5,), learned))
        assert "fill right up after bar 5, beat 2, where the plan" in advice.why
    for here in (breathing((), ()), breathing((7,), (7,)), breathing((), None)):
        advice = ask(*out_in(7, 7), here=here)
        assert "breathe before it, or softer" in advice.why


def test_bars_side_by_side_are_one_place_where_the_air_runs_out() -> None:
    advice = ask(*out_in(6, 7))
    assert (advice.kind, advice.why[:32]) == (
        "breathe",
        "Ran out twice in bars 6 to 7: br",
    )
    assert ask(*out_in(5, 7)).kind != "breathe"
