"""A rung of the ladder in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from coach.rehearsal.review.advice import Advice
from coach.rehearsal.review.ladder import advise
from coach.rehearsal.review.rung import Rung, find_rung
from coach.rehearsal.run.run import Run
from tests.rehearsal.review.test_ladder import HERE, LADDER, SCALE, failing, run


@pytest.mark.parametrize(
    ("clean", "bpm", "says"),
    [
        (0, 72, "0 of 3 clean at 72, then 76"),
        (5, 72, "3 of 3 clean at 72, then 76"),
        (1, 90, "1 of 3 clean at 90, then 92"),
        (1, 92, "1 of 3 clean at 92, the goal"),
        (1, 160, "1 of 3 clean at 160, above the goal 92"),
    ],
)
def test_the_next_tempo_is_never_beyond_the_goal(
    clean: int, bpm: float, says: str
) -> None:
    notch = 76 if bpm == 72 else 96
    rung = Rung(clean=clean, wanted=3, bpm=bpm, next_bpm=notch, goal_bpm=92)
    assert rung.say() == says


def at(runs: Sequence[Run], bpm: float, goal_bpm: float = 96) -> Rung:
    """Find the rung of a tempo, with what is advised after these runs."""
    advice = advise(runs, replace(HERE, bpm=bpm, goal_bpm=goal_bpm), LADDER, SCALE)
    return find_rung(runs, (bpm, goal_bpm), advice, LADDER, SCALE)


def test_a_rung_counts_as_the_ladder_does() -> None:
    """Anew after a move down, and nothing at a tempo at which one does not stand."""
    runs = [*[run(9 - k) for k in range(2)], *failing(6, 5, 4), run(3, bpm=80)]
    assert at(runs, 80).clean == 1
    assert at(runs, 84).clean == 0
    up = [*runs, run(2, bpm=84)]
    assert at(up, 84.4).clean == 1


def test_before_a_word_a_rung_wants_what_the_ladder_wants() -> None:
    """One clean run is enough as long as none failed, and far off it climbs by two."""
    silent = run(1, bpm=48, is_clean=None)
    assert at([silent], 48, 76).say() == "0 of 1 clean at 48, then 52"
    assert at([silent.called(is_clean=True)], 48, 76).say() == (
        "1 of 1 clean at 48, then 52"
    )
    failed = run(1, bpm=48, is_clean=False)
    assert at([failed], 48, 76).say() == "0 of 3 clean at 48, then 50"


def test_a_tempo_that_was_given_up_wants_more_clean_runs() -> None:
    """From the moment on at which one stands below it, played there or not."""
    fell = failing(6, 5, 4, bpm=84)
    assert at(fell, 80).say() == "0 of 4 clean at 80, then 84"
    below = [*fell, run(3, bpm=80), run(2, bpm=80)]
    assert at(below, 80).say() == "2 of 4 clean at 80, then 84"


def test_a_rung_wants_one_more_where_the_advice_is_once_more() -> None:
    """A trial far above, and a tempo that was clean on another day."""
    trial = [run(3, bpm=66), run(2, bpm=88)]
    assert at(trial, 88).say() == "1 of 2 clean at 88, then 92"
    yesterday = run(60.0 * 24, bpm=48)
    assert at([yesterday], 48, 76).say() == "1 of 2 clean at 48, then 52"
    today = at([yesterday, run(1, bpm=48)], 48, 76)
    assert today.say() == "1 of 1 clean at 48, then 52"
    assert today.before_word(at([yesterday], 48, 76)).say() == (
        "1 of 2 clean at 48, then 52"
    )


def test_nothing_faster_is_named_where_something_else_comes_next() -> None:
    """Here: these bars are joined with the others, at the same tempo."""
    joined = Advice("whole", 1, 16, 48, "")
    rung = find_rung([run(1, bpm=48)], (48, 76), joined, LADDER, SCALE)
    assert rung.say() == "1 of 1 clean at 48"
