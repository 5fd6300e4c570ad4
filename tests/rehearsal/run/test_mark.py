"""Where a mark stands, and how it is said."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.rehearsal.run.mark import mark_at, time_of_beat
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.score.metre import Metre
from coach.score.tempo import Seconds
from tests.hand_made import part_of
from tests.hand_rehearsal import plan_by_hand

PLAN = plan_by_hand(part_of("Bb2q C3q D3q Eb3q F3w"), [(0.9, 0.8)] * 5)


@pytest.mark.parametrize(
    ("at", "bar", "beat"),
    [
        (0.0, 1, 1.0),
        (1.9, 1, 2.0),
        (2.0 - 1e-9, 1, 3.0),  # a hair before the beat is on it
        (5.5, 2, 2.0),
        (-3.0, 1, 1.0),
        (99.0, 2, 5.0),
    ],
)
def test_a_mark_stands_on_the_beat_that_sounds(
    at: float, bar: int, beat: float
) -> None:
    mark = mark_at(PLAN, MarkKind.RAN_OUT, Seconds(at))
    assert (mark.bar, mark.beat) == (bar, beat)
    assert 0.0 <= mark.at <= 8.0


def test_in_six_eight_a_mark_stands_on_the_eighth() -> None:
    part = part_of("Bb2q. C3q.", metre=Metre(6, 8))
    plan = plan_by_hand(part, [(0.9, 0.8)] * 2)
    assert mark_at(plan, MarkKind.RUSHED, Seconds(1.5), "pedal").beat == 5.0


@pytest.mark.parametrize(
    ("bar", "beat", "at"),
    [(1, 1, 0.0), (1, 3, 2.0), (2, 1, 4.0), (2, 4, 7.0), (2, 5, None), (3, 1, None)],
)
def test_a_beat_is_found_by_its_bar_if_the_bar_has_it(
    bar: int, beat: int, at: float | None
) -> None:
    assert time_of_beat(PLAN, bar, beat) == at


def test_a_beat_of_a_bar_that_is_repeated_is_found_each_time_through() -> None:
    part = part_of("Bb2q C3q D3q Eb3q", metre=Metre(2, 4))
    twice = replace(part, bars=(part.bars[0], replace(part.bars[1], number=1)))
    plan = plan_by_hand(twice, [(k + 0.9, 0.8) for k in range(4)])
    assert time_of_beat(plan, 1, 2) == 1.0
    assert time_of_beat(plan, 1, 2, time=2) == 3.0
    assert time_of_beat(plan, 1, 2, time=3) is None
    for time, at in enumerate((0.9, 1.0, 2.9, 3.0)):
        assert mark_at(plan, MarkKind.RAN_OUT, Seconds(at)).time == 1 + time // 2
    assert mark_at(plan, MarkKind.RAN_OUT, Seconds(-1.0)).time == 1
