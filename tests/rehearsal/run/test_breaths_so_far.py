"""Breaths taken and missed: which one is meant, and what is fixed by it."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from coach.planning.breathing.locks import Locks
from coach.rehearsal.run.breaths_so_far import breath_meant, locks_so_far, nearest_gap
from coach.score.metre import Metre
from coach.score.tempo import Seconds, Tempo, beats
from tests.hand_made import part_of
from tests.hand_rehearsal import breath_by_hand, plan_by_hand

TWO_BARS = plan_by_hand(
    part_of("Bb2q C3q rh D3h Eb3h"),
    [(0.9, 0.7), (0.7, 0.4), (0.9, 0.6), (0.8, 0.3)],
    (
        breath_by_hand(1, 2.0, 4.0, (0.4, 0.9)),
        breath_by_hand(2, 5.5, 6.0, (0.6, 0.8), "catch"),
    ),
)
"""Four quarters, a breath in a half rest, a half; then a catch before the end."""


@pytest.mark.parametrize(
    ("time", "gap"),
    [(0.1, 0), (0.9, 0), (1.4, 0), (1.6, 1), (3.0, 1), (4.9, 1), (5.1, 2), (99.0, 2)],
)
def test_a_breath_was_taken_in_the_nearest_gap(time: float, gap: int) -> None:
    assert nearest_gap(TWO_BARS.times, Seconds(time)) == gap


def test_a_single_note_has_no_gap() -> None:
    plan = plan_by_hand(part_of("Bb2w"), [(0.9, 0.5)])
    assert nearest_gap(plan.times, Seconds(1.0)) is None


SIX = plan_by_hand(
    part_of("Bb2q C3q D3q Eb3q F3q G3q"),
    [(0.9, 0.8)] * 6,
    (breath_by_hand(3, 3.8, 4.0, (0.5, 0.9)),),
)
"""A note a second, and one breath before the fifth."""


def test_what_has_passed_is_fixed_and_the_rest_is_free() -> None:
    wished = Locks(must=frozenset({1, 4}), must_not=frozenset({0, 3}))
    told = locks_so_far(SIX, Seconds(3.0), {0, 2}, (), wished, notice=Seconds(0.0))
    assert told.must == {0, 2, 4}
    assert told.must_not == {1, 3}


def test_a_new_breath_is_not_asked_for_before_the_player_can_be_told() -> None:
    told = locks_so_far(SIX, Seconds(3.5), {}, (), Locks(), notice=Seconds(1.6))
    assert told.must_not == {0, 1, 2, 4}  # the planned one stays possible


def test_a_breath_that_is_missed_is_closed_to_the_plan_even_before_it_comes() -> None:
    wished = Locks(must=frozenset({3}))
    told = locks_so_far(SIX, Seconds(3.0), {0}, {3}, wished, notice=Seconds(0.0))
    assert told == Locks(must=frozenset({0}), must_not=frozenset({1, 2, 3}))


LEAVING_OUT = plan_by_hand(
    SIX.part,
    [(0.9, 0.8)] * 6,
    (replace(breath_by_hand(1, 1.8, 3.0, (0.5, 0.9)), left_out=(2,)),),
)
"""The third of six notes is left out for the breath before it."""


@pytest.mark.parametrize(("taken", "left_out"), [({1}, {2}), ((), set())])
def test_notes_left_out_for_a_breath_stay_so_where_it_was_taken(
    taken: set[int], left_out: set[int]
) -> None:
    told = locks_so_far(LEAVING_OUT, Seconds(3.0), taken, (), Locks(), Seconds(0.0))
    assert told.left_out == left_out


def test_notes_that_the_player_leaves_out_stay_so_where_their_breath_is_to_come() -> (
    None
):
    wished = Locks(left_out=frozenset({2, 4}))
    told = locks_so_far(SIX, Seconds(2.0), (), (), wished, notice=Seconds(0.0))
    assert told.left_out == {4}
    told = locks_so_far(SIX, Seconds(2.0), (), {3}, wished, notice=Seconds(0.0))
    assert told.left_out == set()


@pytest.mark.parametrize(
    ("at", "after_note"),
    [
        (0.9, None),
        (1.0, 1),  # one beat before it
        (2.0, 1),
        (3.0, 1),  # in it
        (4.0, 1),
        (4.6, 1),
        (5.3, 2),  # a fifth of a beat before it, a third of a bar after the other
        (5.7, 2),
        (10.0, 2),  # one bar after it
        (10.1, None),
    ],
)
def test_the_breath_that_is_missed_is_near(at: float, after_note: int | None) -> None:
    meant = breath_meant(TWO_BARS, Seconds(at))
    assert (meant and meant.after_note) == after_note


def test_in_six_eight_a_beat_is_three_eighths_and_a_bar_two_of_them() -> None:
    part = part_of("Bb2q. C3q. D3q. Eb3q. F3q. G3q.", metre=Metre(6, 8))
    part = replace(part, tempo=Tempo(40, beats(Fraction(3, 2))))
    breath = breath_by_hand(1, 1.8, 2.0, (0.4, 0.8))
    plan = plan_by_hand(part, [(0.9, 0.8)] * 6, (breath,))
    assert plan.times[1].start == 1.0, "a beat a second"
    assert [
        breath_meant(plan, Seconds(at)) is not None for at in (0.7, 0.81, 4.0, 4.1)
    ] == [False, True, True, False]
