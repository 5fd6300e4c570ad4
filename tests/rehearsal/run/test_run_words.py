"""A run in words."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run_words import say_kept, say_mark, say_outcome, say_run
from coach.rehearsal.run.typed_words import SaidMark, read_words
from coach.score.tempo import Seconds
from tests.edges.log.kept_runs import run

OUT = Mark(MarkKind.RAN_OUT, 7, 3.0, Seconds(26.0))
LATE = Mark(MarkKind.LATE_AFTER_BREATH, 8, 1.0, Seconds(28.0))


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"is_completed": True, "is_clean": True}, "clean"),
        ({"is_completed": True, "is_clean": False}, "not clean"),
        ({"is_completed": True, "is_clean": None}, "no word on it"),
        ({"reached_bar": 5}, "cut off in bar 5"),
        ({"reached_bar": 5, "called_clean": False}, "cut off in bar 5, not clean yet"),
        ({}, "cut off"),
    ],
)
def test_a_run_is_called_what_was_said_of_it(given: dict[str, Any], says: str) -> None:
    assert say_outcome(run(**given)) == says


def test_a_run_is_a_line_with_its_marks_and_note() -> None:
    whole = run(
        is_completed=True, is_clean=False, marks=(OUT, LATE), note="lips \x1b[1mtired"
    )
    assert say_run(whole) == (
        "River, bars 1 to 16 at 84.5: not clean; ran out 7.3, late after the breath "
        "8.1; “lips tired”"
    )
    clean = run(is_completed=True, is_clean=True, from_bar=4, to_bar=4)
    assert say_run(clean) == "River, bar 4 at 84.5: clean"


def test_marks_of_the_line_can_be_typed_again() -> None:
    line = say_run(run(is_completed=True, is_clean=False, marks=(OUT, LATE)))
    assert read_words(line.partition(": ")[2]).marks == (
        SaidMark(MarkKind.RAN_OUT, 7, 3),
        SaidMark(MarkKind.LATE_AFTER_BREATH, 8, 1),
    )


def test_a_mark_is_said_with_its_place_and_its_time_through() -> None:
    assert say_mark(OUT) == "ran out at bar 7, beat 3"
    again = replace(OUT, time=2)
    assert say_mark(again) == "ran out at bar 7, beat 3, time 2 through"
    line = say_run(run(is_completed=True, is_clean=False, marks=(again, LATE)))
    assert "ran out 7.3, time 2 through, late" in line
    assert read_words(line.partition(": ")[2]).marks == (
        SaidMark(MarkKind.RAN_OUT, 7, 3, 2),
        SaidMark(MarkKind.LATE_AFTER_BREATH, 8, 1),
    )


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"is_completed": True, "is_clean": True}, "Played to the end, clean"),
        ({"called_clean": None}, "Cut off in bar 3"),
        ({"called_clean": True}, "Cut off in bar 3, clean so far"),
        ({"called_clean": False}, "Cut off in bar 3, not clean yet"),
    ],
)
def test_what_is_kept_is_said_with_the_word_on_it(
    given: dict[str, Any], says: str
) -> None:
    cut_off = {"is_completed": False, "is_clean": False, "id": 7, "reached_bar": 3}
    kept = run(**{**cut_off, **given})
    assert say_kept(kept) == f"{says}; kept in the log as run 7."


def test_the_marks_are_said_back_as_they_are_kept() -> None:
    again = replace(OUT, time=2)
    kept = run(is_completed=True, is_clean=False, marks=(again, LATE), id=7)
    assert say_kept(kept) == (
        "Played to the end, not clean; ran out 7.3, time 2 through, "
        "late after the breath 8.1; kept in the log as run 7."
    )


def test_a_run_that_the_log_forgets_is_not_said_to_be_kept() -> None:
    whole = run(is_completed=True, is_clean=True, id=7)
    assert say_kept(whole, is_kept=False) == (
        "Played to the end, clean; not kept in the log."
    )


def test_of_a_count_in_nothing_is_kept() -> None:
    stopped = run(is_completed=False, is_clean=False, reached_bar=None, marks=())
    assert say_kept(stopped).startswith("Stopped before the first note")
