"""What is due in a run, as the ear is told."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest

from coach.rehearsal.hearing.due_part import DueBreath, due_part
from coach.rehearsal.hearing.take import Take
from tests.hand_made import part_of
from tests.hand_rehearsal import breath_by_hand, plan_by_hand

PLAN = plan_by_hand(
    part_of("Bb2q C3q rh D3h Eb3h", loud=1.0),
    [(0.9, 0.7), (0.7, 0.4), (0.8, 0.6), (0.6, 0.2)],
    (
        breath_by_hand(1, 2.0, 4.0, (0.4, 0.8)),
        breath_by_hand(2, 5.7, 6.0, (0.6, 0.7), "catch"),
    ),
)


def test_notes_and_breaths_are_due_as_the_plan_has_them() -> None:
    due = due_part(PLAN)
    assert [note.due for note in due.notes] == [0.0, 1.0, 4.0, 6.0]
    assert [note.written_end for note in due.notes] == [1.0, 2.0, 6.0, 8.0]
    assert [note.midi for note in due.notes] == [46, 48, 50, 51]
    assert {note.loud for note in due.notes} == {1.0}
    assert not any(note.is_slurred or note.is_left_out for note in due.notes)
    assert due.breaths[0] == DueBreath(
        1, PLAN.breaths.breaths[0].start, PLAN.times[2].start
    )
    assert (due.bar_starts, due.beat) == ((0.0, 4.0), 1.0)


@pytest.mark.parametrize(
    ("number", "first_beat", "page"), [(2, 1, (0, 1)), (1, 1, (0, 0)), (1, 3, (0, 1))]
)
def test_a_bar_that_is_played_again_is_the_same_bar_of_the_page(
    number: int, first_beat: int, page: tuple[int, ...]
) -> None:
    passage = PLAN.passage
    first, second = passage.part.bars
    other = replace(second, number=number, first_beat=Fraction(first_beat))
    part = replace(passage.part, bars=(first, other))
    plan = replace(PLAN, passage=replace(passage, part=part))
    assert due_part(plan).page_bars == page


def test_a_note_that_the_plan_leaves_out_is_not_due() -> None:
    breath = replace(PLAN.breaths.breaths[0], left_out=(2,))
    plan = replace(PLAN, breaths=replace(PLAN.breaths, breaths=(breath,)))
    out = [note.is_left_out for note in due_part(plan).notes]
    assert out == [False, False, True, False]


def test_a_take_is_as_long_as_its_samples() -> None:
    assert Take(np.zeros(4000, dtype=np.float32), 8000.0).length == 0.5
