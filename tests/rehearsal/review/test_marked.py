"""What was marked in many runs, in words that count."""

from __future__ import annotations

import pytest

from coach.rehearsal.review.advice import say_often
from coach.rehearsal.review.marked import (
    Marked,
    say_runs,
    say_spots,
    say_times,
    say_what_failed,
)
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.score.tempo import Seconds
from tests.rehearsal.review.test_ladder import run

OUT, RUSHED, DRAGGED = MarkKind.RAN_OUT, MarkKind.RUSHED, MarkKind.DRAGGED


@pytest.mark.parametrize(
    ("runs", "said"),
    [
        ([[(OUT, 7)], [(OUT, 7)]], " (ran out in bar 7)"),
        ([[(RUSHED, 9), (RUSHED, 10), (RUSHED, 11)]], " (rushed in bars 9 to 11)"),
        (
            [[(RUSHED, 3), (RUSHED, 4), (RUSHED, 6)], [(RUSHED, 3), (RUSHED, 4)]],
            " (rushed in bars 3 to 4)",
        ),
        ([[(OUT, 7), (OUT, 7)], []], " (ran out once in bar 7)"),
        ([[(RUSHED, 6)], [(OUT, 7)]], " (ran out once in bar 7)"),
        ([[(RUSHED, 6)], [(RUSHED, 5)]], " (rushed once in bar 5)"),
        (
            [[(DRAGGED, 7)], [(OUT, 7)], [(DRAGGED, 7)]],
            " (in bar 7: dragged twice, ran out once)",
        ),
        ([[], []], ""),
    ],
)
def test_what_failed_is_said_with_the_runs_in_which_it_did(
    runs: list[list[tuple[MarkKind, int]]], said: str
) -> None:
    failed = [
        run(
            k,
            is_clean=False,
            marks=tuple(Mark(kind, bar, 1.0, Seconds(1.0)) for kind, bar in faults),
        )
        for k, faults in enumerate(runs, start=1)
    ]
    assert say_what_failed(failed) == said


def test_how_often_is_said_in_words_up_to_nine() -> None:
    told = [say_often(times) for times in (1, 2, 3, 9, 10)]
    assert told == ["once", "twice", "three times", "nine times", "10 times"]


def test_runs_of_a_place_are_counted_by_kind_where_no_kind_is_in_all() -> None:
    times = {MarkKind.MISSED_BREATH: 0, OUT: 2, RUSHED: 1}
    assert say_runs((3, 3), times, 2, 8) == "ran out in bar 3 in 2 of the 8 runs"
    assert say_runs((3, 4), times, 3, 8) == (
        "bars 3 to 4 went wrong in 3 of the 8 runs: ran out twice, rushed once"
    )
    assert say_times(OUT, 3, 7) == "Ran out three times in bar 7"


def test_beats_of_one_bar_that_were_marked_are_one_spot() -> None:
    """A key is pressed now on this beat, now on that."""
    marked = [Marked(bar, beat, {}, 3) for bar, beat in ((5, 1.0), (5, 2.5), (7, 4.0))]
    assert say_spots(marked) == ("bar 5, beats 1 to 2.5", "bar 7, beat 4")
