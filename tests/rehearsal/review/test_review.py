"""What many runs of one etude say."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from coach.config import read_settings
from coach.plain.run_json import review_as_dict, run_as_dict
from coach.rehearsal.click.tempo_scale import TempoSettings
from coach.rehearsal.review.advice import Standing
from coach.rehearsal.review.ladder import LadderSettings
from coach.rehearsal.review.review import (
    Best,
    Review,
    ReviewSettings,
    best_clean,
    map_trouble,
    review,
)
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import FAULTS, MarkKind
from coach.rehearsal.run.playing import Playing
from coach.rehearsal.run.run import Run
from coach.score.tempo import Seconds
from tests.hand_rehearsal import nothing_learned

MORNING = datetime(2025, 3, 3, 9, 0, tzinfo=UTC)

HERE = Standing(
    from_bar=1,
    to_bar=16,
    is_whole=True,
    bpm=84,
    goal_bpm=96,
    following=None,
    bars=(1, 16),
    now=MORNING + timedelta(hours=1),
)


def mark(kind: MarkKind, bar: int, beat: float = 1.0) -> Mark:
    return Mark(kind, bar, beat, Seconds(bar * 4.0 + beat))


def run(
    day: int = 0, *, is_clean: bool | None = False, bpm: float = 84, **other: Any
) -> Run:
    """Make a run of all sixteen bars."""
    given: dict[str, Any] = {
        "etude": "By Hand",
        "from_bar": 1,
        "to_bar": 16,
        "is_completed": True,
        "is_whole": True,
        "reached_bar": 16,
        "lasted": Seconds(40.0),
    }
    return Run(
        started=MORNING + timedelta(days=day),
        is_clean=is_clean,
        bpm=bpm,
        **{**given, **other},
    )


def of(*runs: Run, here: Standing = HERE) -> Review:
    return review(
        "By Hand",
        runs,
        here,
        read_settings(ReviewSettings, "rehearsal", "review"),
        read_settings(LadderSettings, "rehearsal", "ladder"),
        read_settings(TempoSettings, "rehearsal", "tempo"),
        nothing_learned(),
    )


def test_without_runs_there_is_a_first_tempo_and_nothing_else() -> None:
    told = of()
    assert (told.runs, told.best, told.trouble, told.progress) == (0, None, (), ())
    assert [advice.kind for advice in told.next] == ["again"]


def test_a_run_stopped_in_its_count_in_is_not_counted() -> None:
    assert of(run(is_completed=False, reached_bar=None)).runs == 0


def test_runs_without_a_word_are_counted_and_say_nothing() -> None:
    out = run(marks=(mark(MarkKind.RAN_OUT, 7),))
    told = of(out, out, *(run(is_clean=None),) * 5)
    heard = of(out, out)
    assert (told.runs, told.attended, heard.attended) == (7, 2, 2)
    assert replace(told, runs=2) == heard
    assert told.trouble[0].runs == 2


def test_trouble_is_counted_by_beat_in_the_order_of_the_page() -> None:
    out, rushed = MarkKind.RAN_OUT, MarkKind.RUSHED
    told = map_trouble(
        [
            run(marks=(mark(out, 7, 3.0), mark(rushed, 2))),
            run(marks=(mark(out, 7, 3.0),)),
            run(marks=(mark(MarkKind.DRAGGED, 7, 3.0), mark(MarkKind.MISSED, 9))),
            run(marks=(mark(MarkKind.LATE_AFTER_BREATH, 9),)),
        ]
    )
    assert [(spot.bar, spot.beat) for spot in told] == [(2, 1.0), (7, 3.0), (9, 1.0)]
    assert [told[1].times[kind] for kind in FAULTS] == [2, 0, 1, 0, 0]
    assert [told[2].times[kind] for kind in FAULTS] == [0, 0, 0, 1, 1]
    assert [spot.went_wrong for spot in told] == [1, 3, 2]


def test_a_mark_pressed_twice_in_a_run_counts_once() -> None:
    marks = (mark(MarkKind.RAN_OUT, 7), mark(MarkKind.RAN_OUT, 7))
    assert map_trouble([run(marks=marks)])[0].times[MarkKind.RAN_OUT] == 1


def test_a_breath_taken_is_no_trouble() -> None:
    marks = (mark(MarkKind.BREATHED, 7), mark(MarkKind.MISSED_BREATH, 8))
    assert map_trouble([run(marks=marks)]) == ()


def test_only_runs_that_came_to_a_bar_are_counted_there() -> None:
    out = (mark(MarkKind.RAN_OUT, 7),)
    told = map_trouble(
        [
            run(marks=out),
            run(),  # to the end
            run(from_bar=9),  # began after it
            run(is_completed=False, reached_bar=6),  # cut off before it
            run(is_completed=False, reached_bar=7),
            # killed, so that only its marks tell how far it came:
            run(
                is_completed=False, reached_bar=None, marks=(mark(MarkKind.RUSHED, 8),)
            ),
            run(
                is_completed=False, reached_bar=None, marks=(mark(MarkKind.RUSHED, 3),)
            ),
            # in the lead-in of a later segment:
            run(from_bar=8, marks=out),
        ]
    )
    spot = next(spot for spot in told if spot.bar == 7)
    assert (spot.times[MarkKind.RAN_OUT], spot.runs) == (2, 5)


def test_the_best_clean_tempo_is_of_the_whole_where_there_is_one() -> None:
    whole = run(is_clean=True, bpm=80)
    part = run(is_clean=True, bpm=100, is_whole=False, to_bar=4)
    assert best_clean([part, whole]) == Best(MORNING.date(), 80, 1, 16, is_whole=True)
    assert best_clean([part]) == Best(MORNING.date(), 100, 1, 4, is_whole=False)
    assert best_clean([run()]) is None


def test_progress_is_told_by_day() -> None:
    told = of(
        run(0, is_clean=True, bpm=72),
        run(0, is_clean=True, bpm=76),
        run(1),
        run(2, is_clean=True, bpm=80),
    )
    assert [(best.day.day, best.clean_bpm) for best in told.progress] == [
        (3, 76),
        (5, 80),
    ]
    assert told.best is not None
    assert told.best.clean_bpm == 80


def test_the_worst_bars_come_first_in_what_to_work_on() -> None:
    out, rushed = mark(MarkKind.RAN_OUT, 7), mark(MarkKind.RUSHED, 1)
    told = of(
        run(marks=(out, rushed)), run(marks=(out, rushed)), run(marks=(out,)), run()
    )
    first, second, *_ = told.next
    assert (first.kind, first.from_bar, first.to_bar, first.bpm) == (
        "breathe",
        6,
        8,
        84,
    )
    assert first.why.startswith("Ran out in bar 7 in 3 of 4 runs")
    assert (second.kind, second.from_bar, second.to_bar, second.bpm) == (
        "slower",
        1,
        2,
        80,
    )
    assert second.why == "Rushed in bar 1 in 2 of 4 runs: bars 1 to 2 alone, at 80."


def test_a_spot_is_advised_at_a_tempo_that_can_be_set() -> None:
    marks = (mark(MarkKind.RAN_OUT, 7), mark(MarkKind.RUSHED, 2))
    runs = (run(marks=marks), run(marks=marks))
    dotted = replace(HERE, bpm=113 / 1.5, goal_bpm=113 / 1.5)
    told = of(*runs, here=dotted)
    assert [advice.bpm for advice in told.next] == [72, 75, 75]
    assert told.goal_bpm == pytest.approx(75.333, abs=1e-3), "the page's own"


def test_what_went_wrong_once_is_no_spot_to_work_on() -> None:
    told = of(run(marks=(mark(MarkKind.RAN_OUT, 7),)), run())
    assert len(told.next) == 1


def test_no_more_than_three_spots_are_named() -> None:
    marks = tuple(mark(MarkKind.RUSHED, bar) for bar in (2, 5, 8, 11, 14))
    assert len(of(run(marks=marks), run(marks=marks)).next) == 4


def test_the_last_bar_has_nothing_after_it() -> None:
    marks = (mark(MarkKind.MISSED, 16),)
    assert of(run(marks=marks), run(marks=marks)).next[0].to_bar == 16


# The shapes that scripts rely on.


def test_a_run_is_laid_out_as_promised() -> None:
    marks = (
        mark(MarkKind.RAN_OUT, 7, 3.0),
        replace(
            mark(MarkKind.RUSHED, 9), by="microphone", amount=Seconds(0.0451234567)
        ),
    )
    how = Playing(
        *("Ann", "horn-f", 4.8, -1.0, "gapped", True, "tired"), (3, 9), room_beats=0.5
    )
    laid = run_as_dict(
        run(
            marks=marks,
            id=12,
            note="lips",
            plan="abc",
            sent=64,
            worst_late=0.0012,
            how=how,
            uid="a-name",
            set_aside="not-me",
        )
    )
    assert json.loads(json.dumps(laid)) == {
        "id": 12,
        "started": "2025-03-03T09:00:00+00:00",
        "etude": "By Hand",
        "segment": {"from_bar": 1, "to_bar": 16},
        "bpm": 84,
        "completed": True,
        "clean": False,
        "said": True,
        "marks": [
            {"kind": "ran-out", "bar": 7, "beat": 3.0, "at_s": 31.0, "by": "player"},
            {
                "kind": "rushed",
                "bar": 9,
                "beat": 1.0,
                "at_s": 37.0,
                "by": "microphone",
                "amount_s": 0.045123,
            },
        ],
        "note": "lips",
        "plan": "abc",
        "click": {"sent": 64, "worst_late_ms": 1.2, "kind": "gapped"},
        "whole": True,
        "reached_bar": 16,
        "lasted_s": 40.0,
        "attended": True,
        "etude_key": "",
        "uid": "a-name",
        "player": "Ann",
        "instrument": "horn-f",
        "capacity_l": 4.8,
        "dynamic_shift": -1.0,
        "guide": True,
        "word": "tired",
        "left_out": [3, 9],
        "room_beats": 0.5,
        "set_aside": "not-me",
    }


def test_a_review_is_laid_out_as_promised() -> None:
    out = mark(MarkKind.RAN_OUT, 7, 3.0)
    laid = review_as_dict(of(run(marks=(out,)), run(1, is_clean=True, bpm=88)))
    assert json.loads(json.dumps(laid)) == laid
    assert set(laid) >= {
        "etude",
        "runs",
        "clean_bpm",
        "goal_bpm",
        "trouble",
        "progress",
        "air",
        "next",
    }
    assert (laid["runs"], laid["clean_bpm"], laid["goal_bpm"]) == (2, 88, 96)
    assert laid["attended"] == 2
    assert laid["clean_segment"] == {"from_bar": 1, "to_bar": 16}
    assert laid["trouble"][0]["bar"] == 7
    assert laid["trouble"][0]["runs"] == 2
    assert laid["progress"][0]["date"] == "2025-03-04"
    assert set(laid["air"]) >= {"flow_scale", "low", "high"}
    assert set(laid["next"][0]) >= {"segment", "bpm", "why"}


def test_a_review_of_no_runs_is_laid_out_too() -> None:
    laid = review_as_dict(of())
    assert laid["clean_bpm"] is None
    assert laid["clean_segment"] is None
    assert laid["air"]["flow_scale"] == pytest.approx(1.0, abs=0.02)
