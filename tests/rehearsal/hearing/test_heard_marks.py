"""Marks that are proposed for what was heard."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from coach.rehearsal.hearing.heard import (
    HeardBreath,
    HeardNote,
    LateEntry,
    RanOut,
    Stretch,
)
from coach.rehearsal.hearing.heard_findings import find_all
from coach.rehearsal.hearing.heard_marks import heard_marks
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.score.tempo import Seconds
from tests.hand_heard import TELLING, heard_by_hand
from tests.hand_made import part_of, played
from tests.hand_rehearsal import breath_by_hand, plan_by_hand

PLAN = plan_by_hand(
    part_of("Bb2q C3q D3h D3q Eb3h rq F3q G3q rh"),
    [(0.9, 0.7)] * 7,
    (breath_by_hand(2, 3.8, 4.0, (0.4, 0.8)), breath_by_hand(4, 7.0, 8.0, (0.4, 0.9))),
)
PLAYED = heard_by_hand(
    PLAN, breaths=(HeardBreath(2, Seconds(3.8), Seconds(4.0), True),)
)


def proposed(**changes: Any) -> list[Mark]:
    return list(heard_marks(PLAN, replace(PLAYED, **changes), TELLING))


def told(**changes: Any) -> list[tuple[str, int, float, float | None]]:
    marks = proposed(**changes)
    return [(mark.kind, mark.bar, mark.beat, mark.amount) for mark in marks]


def test_a_run_as_planned_gets_no_mark() -> None:
    assert proposed() == []


def test_stretches_are_marked_at_their_first_note_with_how_much() -> None:
    assert told(
        rushed=(Stretch(1, 2, Seconds(-0.06)),), dragged=(Stretch(5, 6, Seconds(0.05)),)
    ) == [("rushed", 1, 2.0, -0.06), ("dragged", 3, 1.0, 0.05)]
    assert {mark.by for mark in proposed(missed=(3,))} == {"microphone"}


def test_who_came_in_late_or_early_is_marked_where_it_began() -> None:
    assert told(came_in=Seconds(0.2)) == [("dragged", 1, 1.0, 0.2)]
    assert told(came_in=Seconds(-0.1)) == [("rushed", 1, 1.0, -0.1)]


def test_the_sound_gives_out_inside_its_note_however_late_it_is_played() -> None:
    out = RanOut(4, Seconds(9.0))
    assert told(ran_out=out) == [("ran-out", 2, 4.0, None)]
    assert told(ran_out=replace(out, at=Seconds(6.2))) == [("ran-out", 2, 3.0, None)]
    assert told(ran_out=replace(out, at=Seconds(1.0))) == [("ran-out", 2, 2.0, None)]


def test_notes_in_a_row_that_are_wrong_or_missing_are_one_mark() -> None:
    assert told(missed=(1, 2, 6), wrong=(3,)) == [
        ("missed", 1, 2.0, None),
        ("missed", 3, 2.0, None),
    ]


def test_late_after_a_breath_is_marked_on_the_late_note() -> None:
    late = (LateEntry(3, Seconds(0.12)),)
    assert told(late_after_breath=late) == [("late-after-breath", 2, 1.0, 0.12)]


def test_a_breath_that_was_not_planned_is_marked_but_a_rest_says_nothing() -> None:
    breaths = (
        HeardBreath(0, Seconds(0.8), Seconds(1.0), False),
        *PLAYED.breaths,
        HeardBreath(4, Seconds(7.0), Seconds(8.0), False),
    )
    assert told(breaths=breaths) == [("breathed", 1, 2.0, None)]


def test_a_planned_breath_is_missed_only_between_notes_that_were_surely_heard() -> None:
    assert told(breaths=()) == [("missed-breath", 1, 4.0, None)]
    unsure = replace(PLAYED.notes[3], confidence=0.7)
    notes = (*PLAYED.notes[:3], unsure, *PLAYED.notes[4:])
    assert told(breaths=(), notes=notes) == []
    gone = (*PLAYED.notes[:3], HeardNote(Seconds(4.0)), *PLAYED.notes[4:])
    assert told(breaths=(), notes=gone) == []


def test_a_planned_breath_on_a_rest_is_missed_where_the_note_was_held_through_it() -> (
    None
):
    held = replace(PLAYED.notes[4], ended=Seconds(7.8))
    notes = (*PLAYED.notes[:4], held, *PLAYED.notes[5:])
    assert told(notes=notes) == [("missed-breath", 2, 4.0, None)]
    rings = replace(held, ended=Seconds(7.4))
    assert told(notes=(*PLAYED.notes[:4], rings, *PLAYED.notes[5:])) == []


def test_who_begins_again_after_a_planned_breath_has_breathed() -> None:
    assert told(breaths=(), began_again=(3,)) == []
    assert told(breaths=(), began_again=(2,)) == [("missed-breath", 1, 4.0, None)]


def test_two_marks_of_a_kind_on_one_beat_are_one() -> None:
    stretches = (Stretch(0, 0, Seconds(-0.05)), Stretch(0, 1, Seconds(-0.09)))
    assert told(rushed=stretches) == [("rushed", 1, 1.0, -0.05)]
    assert MarkKind.RUSHED in {mark.kind for mark in proposed(rushed=stretches)}


def test_a_mark_of_one_time_through_does_not_hide_that_of_another() -> None:
    plan = plan_by_hand(played("F3q G3q A3q Bb3q C4w", [1, 1, 2]), [(0.9, 0.7)] * 9)
    heard = replace(heard_by_hand(plan), missed=(1, 5))
    marks = heard_marks(plan, heard, TELLING)
    assert [(mark.bar, mark.beat, mark.at) for mark in marks] == [
        (1, 2.0, plan.times[1].start),
        (1, 2.0, plan.times[5].start),
    ]
    findings = find_all(plan, heard, TELLING)
    assert [finding.where for finding in findings] == [
        "bar 1, beat 2",
        "bar 1, beat 2, time 2 through",
    ]
