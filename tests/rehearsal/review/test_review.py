"""What many runs of one etude say."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from coach.config import read_settings
from coach.plain.run_json import review_as_dict, run_as_dict
from coach.rehearsal.review.advice import Advice
from coach.rehearsal.review.marked import TROUBLE_KINDS, map_marks
from coach.rehearsal.review.progress import Best, best_clean
from coach.rehearsal.review.review import HeardRuns, Review, ReviewedEtude, review
from coach.rehearsal.review.sounded_bars import SoundedSettings
from coach.rehearsal.review.trouble_settings import TroubleSettings
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.playing import Playing
from coach.rehearsal.run.run import Run
from coach.score.tempo import Seconds
from tests.hand_rehearsal import nothing_learned

MORNING = datetime(2025, 3, 3, 9, 0, tzinfo=UTC)

PAGE = ReviewedEtude("By Hand", (1, 16), 96)
NEXT = Advice("again", 1, 16, 84, "Once more.")


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


def of(*runs: Run) -> Review:
    settings = read_settings(TroubleSettings, "rehearsal", "trouble")
    heard = HeardRuns(read_settings(SoundedSettings, "rehearsal", "sounded"))
    return review(PAGE, runs, heard, settings, nothing_learned(), NEXT)


def test_without_runs_there_is_nothing_but_what_comes_next() -> None:
    told = of()
    assert (told.runs, told.best, told.trouble, told.progress) == (0, None, (), ())
    assert (told.next, told.is_too_little, told.best_part) == (NEXT, False, None)


def test_loud_minutes_are_those_of_the_runs_that_tell() -> None:
    """Runs of an older log do not; a day of such runs alone says nothing of it."""
    told = of(run(), run(loud=Seconds(90.0)), run(loud=Seconds(30.0)), run(1))
    assert [day.loud_s for day in told.days] == [120.0, None]
    assert review_as_dict(told)["days"][0]["loud_minutes"] == 2.0


def test_a_run_stopped_in_its_count_in_is_not_counted() -> None:
    assert of(run(is_completed=False, reached_bar=None)).runs == 0


def test_runs_without_a_word_are_counted_and_say_nothing() -> None:
    out = run(marks=(mark(MarkKind.RAN_OUT, 7),))
    told = of(out, out, *(run(is_clean=None),) * 5)
    heard = of(out, out)
    assert (told.runs, told.attended, heard.attended) == (7, 2, 2)
    assert replace(told, runs=2, days=heard.days) == heard
    assert told.marked[0].runs == 2
    assert told.days[0].runs == 7


def test_trouble_is_counted_by_beat_in_the_order_of_the_page() -> None:
    out, rushed = MarkKind.RAN_OUT, MarkKind.RUSHED
    told = map_marks(
        [
            run(marks=(mark(out, 7, 3.0), mark(rushed, 2))),
            run(marks=(mark(out, 7, 3.0),)),
            run(marks=(mark(MarkKind.DRAGGED, 7, 3.0), mark(MarkKind.MISSED, 9))),
            run(marks=(mark(MarkKind.LATE_AFTER_BREATH, 9),)),
        ]
    )
    assert [(spot.bar, spot.beat) for spot in told] == [(2, 1.0), (7, 3.0), (9, 1.0)]
    assert [told[1].times[kind] for kind in TROUBLE_KINDS] == [0, 2, 0, 1, 0, 0]
    assert [told[2].times[kind] for kind in TROUBLE_KINDS] == [0, 0, 0, 0, 1, 1]
    assert [spot.went_wrong for spot in told] == [1, 3, 2]


def test_a_mark_pressed_twice_in_a_run_counts_once() -> None:
    marks = (mark(MarkKind.RAN_OUT, 7), mark(MarkKind.RAN_OUT, 7))
    assert map_marks([run(marks=marks)])[0].times[MarkKind.RAN_OUT] == 1


def test_a_breath_that_was_missed_is_trouble_and_one_that_was_taken_is_none() -> None:
    marks = (mark(MarkKind.BREATHED, 7), mark(MarkKind.MISSED_BREATH, 8))
    (spot,) = map_marks([run(marks=marks)])
    assert (spot.bar, spot.times[MarkKind.MISSED_BREATH]) == (8, 1)


def test_only_runs_that_came_to_a_bar_are_counted_there() -> None:
    out = (mark(MarkKind.RAN_OUT, 7),)
    told = map_marks(
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


def test_whole_and_part_are_told_apart() -> None:
    part = {"is_whole": False, "from_bar": 5, "to_bar": 8}
    told = of(
        run(0, is_clean=True, bpm=120, **part),
        run(0, is_clean=True, bpm=84),
        run(1, is_clean=True, bpm=76, **part),
    )
    first, second = told.days
    assert first.whole == Best(MORNING.date(), 84, 1, 16, is_whole=True)
    assert first.part == Best(MORNING.date(), 120, 5, 8, is_whole=False)
    assert second.whole is None
    assert told.best_part == first.part
    assert first.played_s == 80


def test_what_was_marked_once_is_too_little_to_tell() -> None:
    told = of(run(marks=(mark(MarkKind.RAN_OUT, 7),)), run())
    assert (told.trouble, told.is_too_little) == ((), True)


# The shapes that scripts rely on.


def test_a_run_is_laid_out_as_promised() -> None:
    marks = (
        mark(MarkKind.RAN_OUT, 7, 3.0),
        replace(
            mark(MarkKind.RUSHED, 9),
            by="microphone",
            amount=Seconds(0.0451234567),
            time=2,
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
            loud=Seconds(12.5),
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
        "called_clean": None,
        "marks": [
            {"kind": "ran-out", "bar": 7, "beat": 3.0, "at_s": 31.0, "by": "player"},
            {
                "kind": "rushed",
                "bar": 9,
                "beat": 1.0,
                "at_s": 37.0,
                "by": "microphone",
                "amount_s": 0.045123,
                "time_through": 2,
            },
        ],
        "note": "lips",
        "plan": "abc",
        "click": {"sent": 64, "worst_late_ms": 1.2, "kind": "gapped"},
        "whole": True,
        "reached_bar": 16,
        "lasted_s": 40.0,
        "loud_s": 12.5,
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
    assert laid["trouble"] == [], "one mark in two runs may be chance"
    assert laid["marked"][0]["bar"] == 7
    assert laid["marked"][0]["runs"] == 2
    assert laid["clean_whole"] is True
    assert laid["best_part"] is None
    assert laid["days"][1]["whole_bpm"] == 88
    assert laid["days"][0]["minutes"] == 0.7
    assert laid["days"][0]["loud_minutes"] is None
    assert laid["progress"][0]["date"] == "2025-03-04"
    assert set(laid["air"]) >= {"flow_scale", "low", "high"}
    assert set(laid["next"][0]) >= {"segment", "bpm", "why"}


def test_a_place_of_trouble_is_laid_out_with_how_it_is_said() -> None:
    out = (mark(MarkKind.RAN_OUT, 7, 3.0),)
    laid = review_as_dict(of(*(run(marks=out) for _ in range(4))))
    (spot,) = laid["trouble"]
    assert (spot["bar"], spot["beat"], spot["ran_out"], spot["runs"]) == (7, 3.0, 4, 4)
    assert spot["says"] == "ran out in bar 7 in 4 of the 4 runs"
    assert spot["segment"] == {"from_bar": 7, "to_bar": 7}
    part = run(is_clean=True, is_whole=False, to_bar=4)
    assert review_as_dict(of(part))["days"][0]["part"]["segment"]["to_bar"] == 4


def test_a_review_of_no_runs_is_laid_out_too() -> None:
    laid = review_as_dict(of())
    assert laid["clean_bpm"] is None
    assert laid["clean_segment"] is None
    assert laid["air"]["flow_scale"] == pytest.approx(1.0, abs=0.02)
