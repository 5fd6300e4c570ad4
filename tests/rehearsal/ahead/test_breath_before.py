"""After a run that ran out the next one is told where to take more air."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.breath_place import BreathPlace
from coach.rehearsal.ahead.outlook import Ahead, Outlook
from coach.rehearsal.run.mark_kinds import MarkKind
from tests.rehearsal.review.test_ladder import HERE, ask, failing, mark, run

PLACES = (BreathPlace(5, 3.0, is_on=False), BreathPlace(7, 2.0, is_on=True))
PLANNED = replace(
    HERE, outlook=Outlook(lambda _, __: Ahead(0.3, None, (5, 7), 4.0, 0.5, PLACES))
)


@pytest.mark.parametrize(
    ("beat", "says"),
    [
        (1.0, ", and fill right up after bar 5, beat 3."),
        (2.0, ", and fill right up after bar 5, beat 3."),
        (3.0, ", and fill right up at bar 7, beat 2."),
    ],
)
def test_one_run_that_ran_out_names_the_breath_before_it(
    beat: float, says: str
) -> None:
    out = replace(mark(MarkKind.RAN_OUT), bar=7, beat=beat)
    (failed,) = failing(3, marks=(out,))
    assert ask(failed, here=PLANNED).why == (
        f"Not clean yet (ran out in bar 7): once more at 84{says}"
    )


def test_where_to_fill_up_is_said_once_where_slower_takes_more_air() -> None:
    hard = Ahead(0.3, None, (5, 7), 4.0, 0.5, PLACES)
    easy = replace(hard, lowest_air=0.6)
    slow = Outlook(lambda _, bpm: easy if bpm >= HERE.goal_bpm else hard)
    out = replace(mark(MarkKind.RAN_OUT), bar=7, beat=3.0)
    why = ask(*failing(3, marks=(out,)), here=replace(HERE, outlook=slow)).why
    assert why == (
        "Not clean yet (ran out in bar 7): once more at 84, and fill right up at bar 7,"
        " beat 2. Slower takes more air (down to 30 %, 60 % at the goal)."
    )


def test_where_no_breath_lies_before_it_the_first_is_meant() -> None:
    out = replace(mark(MarkKind.RAN_OUT), bar=5, beat=2.0)
    why = ask(*failing(3, marks=(out,)), here=PLANNED).why
    assert why.endswith("at 84, and fill right up before the first note.")


def test_a_breath_that_was_missed_is_what_to_take() -> None:
    out = replace(mark(MarkKind.RAN_OUT), bar=7, beat=1.0)
    missed = replace(mark(MarkKind.MISSED_BREATH), bar=5)
    why = ask(*failing(3, marks=(missed, out)), here=PLANNED).why
    assert why.endswith("at 84, and take the breath in bar 5.")


def test_where_nobody_knows_the_plan_the_bar_is_named() -> None:
    why = ask(*failing(3, marks=(mark(MarkKind.RAN_OUT),))).why
    assert why.endswith("at 84, and breathe before bar 7.")


def test_of_what_went_wrong_otherwise_or_before_nothing_is_added() -> None:
    rushed = failing(3, marks=(mark(MarkKind.RUSHED),))
    assert ask(*rushed, here=PLANNED).why.endswith("once more at 84.")
    later = failing(3, marks=(mark(MarkKind.RAN_OUT),))
    assert "fill" not in ask(*later, run(2), here=PLANNED).why
    then = [*later, *failing(2, marks=(mark(MarkKind.RUSHED),))]
    assert "fill" not in ask(*then, here=PLANNED).why


def test_on_the_way_down_and_on_another_day_it_is_told_too() -> None:
    out = (replace(mark(MarkKind.RAN_OUT), bar=7, beat=1.0),)
    down = ask(*failing(4, marks=out), *failing(3, 2), here=PLANNED)
    assert down.why.endswith(", and fill right up after bar 5, beat 3.")
    night = 60 * 24
    anew = ask(*failing(night, marks=out), here=PLANNED)
    assert anew.why == (
        "Not clean yet when it was last played (ran out in bar 7): try it afresh at "
        "84, and fill right up after bar 5, beat 3."
    )


def test_where_it_runs_out_again_and_again_one_more_breath_is_due() -> None:
    """Clean runs between, so that nothing else would tell of it."""
    out = (replace(mark(MarkKind.RAN_OUT), bar=7, beat=1.0),)
    runs = [
        *failing(9, marks=out),
        run(8),
        *failing(7, marks=out),
        run(6),
        *failing(5, marks=out),
    ]
    told = (
        " It ran out in bar 7 in 3 of the last 5 runs: breathe once more before it "
        "(b on the page of the etude)."
    )
    assert ask(*runs, here=PLANNED).why.endswith(told)
    assert told not in ask(*runs[1:], here=PLANNED).why, "twice may be chance"
    others = [run(20 + k, from_bar=1, to_bar=4) for k in range(9)]
    assert ask(*others, *runs, here=PLANNED).why.endswith(told)
    elsewhere = replace(out[0], bar=6)
    last = failing(4, marks=(elsewhere,))
    assert "It ran out" not in ask(*runs[:-1], run(5), *last, here=PLANNED).why
