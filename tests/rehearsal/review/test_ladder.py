"""What to play next: the scale of tempos, and when to move on."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from coach.config import read_settings
from coach.rehearsal.click.tempo_scale import TempoSettings
from coach.rehearsal.review.advice import Advice, Standing
from coach.rehearsal.review.ladder import LadderSettings, advise, first_tempo
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
    assert ask(*alone) == ask()
    assert ask(run(7), *alone, run(2), run(1)).kind == "faster"


def test_runs_without_a_word_are_asked_about_and_move_nothing() -> None:
    silent = [run(k, is_clean=None) for k in (6, 5, 4)]
    assert "Nobody said" in ask(*silent).why
    assert ask(run(7), *silent, run(2), run(1)).kind == "faster"
    assert ask(*silent, run(3)) == ask(run(3))


def test_three_clean_runs_in_a_row_move_up_a_notch() -> None:
    advice = ask(run(3), run(2), run(1))
    assert (advice.kind, advice.bpm) == ("faster", 88)
    assert "3 clean runs in a row at 84" in advice.why


def test_two_clean_runs_are_one_too_few() -> None:
    advice = ask(run(3, is_clean=False), run(2), run(1))
    assert (advice.kind, advice.bpm) == ("again", 84)
    assert "2 clean in a row; 1 more" in advice.why


def test_clean_runs_at_another_tempo_or_of_other_bars_do_not_count() -> None:
    other = [run(5, bpm=80), run(4, bpm=80), run(3, from_bar=1), run(2, bpm=85)]
    assert "Nothing is known" in ask(*other).why


def test_a_fraction_of_a_beat_is_the_same_tempo() -> None:
    assert "1 clean in a row" in ask(run(2, bpm=84.2)).why


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


def test_two_failed_runs_move_down_a_notch_and_say_what_failed() -> None:
    rushed = (mark(MarkKind.RUSHED, 6),)
    advice = ask(run(3), run(2, is_clean=False, marks=rushed), run(1, is_clean=False))
    assert (advice.kind, advice.bpm) == ("slower", 80)
    assert "rushed in bar 6" in advice.why


def test_failed_runs_without_a_mark_move_down_too() -> None:
    advice = ask(run(2, is_clean=False), run(1, is_clean=False))
    assert advice.why == "2 runs at 84 were not clean: go down to 80."


def test_one_failed_run_is_tried_once_more() -> None:
    advice = ask(run(2), run(1, is_clean=False))
    assert (advice.kind, advice.bpm) == ("again", 84)
    assert "Not clean yet" in advice.why


def test_running_out_twice_in_a_bar_asks_for_a_breath_not_for_less_speed() -> None:
    """Slower takes more air: common practice, no published source."""
    out = (mark(MarkKind.RAN_OUT),)
    advice = ask(run(2, is_clean=False, marks=out), run(1, is_clean=False, marks=out))
    assert (advice.kind, advice.bpm) == ("breathe", 84)
    assert "Ran out in bar 7 2 times" in advice.why


def test_running_out_in_two_different_bars_moves_down() -> None:
    runs = [
        run(2, is_clean=False, marks=(mark(MarkKind.RAN_OUT, 6),)),
        run(1, is_clean=False, marks=(mark(MarkKind.RAN_OUT, 7),)),
    ]
    assert ask(*runs).kind == "slower"


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
    assert "21 minutes" in advice.why


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
    assert (advice.kind, advice.bpm) == ("next", 75)
    assert "3 clean runs in a row at 75, the goal" in advice.why
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
        assert advice.bpm <= bpm
    if "begin at" in advice.why:
        assert advice.bpm <= goal_bpm
