"""The answer of a reach in one sentence."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.reach import OneBreath, Reach, ReachPoint
from coach.planning.reach_words import say_reach
from coach.score.phrase import Place

DRY = Place(3, 1.0)
AS_WRITTEN = OneBreath(0.0, 280.4, 500.0, 16.0, DRY)
LOUDER = OneBreath(1.0, 340.0, 600.0, 19.0, DRY)


def point(
    bpm: float, lowest: float, breaths: int = 2, *, dry: bool = False
) -> ReachPoint:
    """Give what a plan comes to."""
    return ReachPoint(bpm, breaths, lowest, 0.3, DRY if dry else None, 1.0)


def reach_of(*points: ReachPoint) -> Reach:
    """Give a reach with its goal at 84 and half at a half."""
    return Reach(84.0, (LOUDER, AS_WRITTEN), points, 0.1, 0.5)


def test_the_answer_stands_in_one_sentence() -> None:
    reach = reach_of(point(42, 0.6), point(84, 0.4), point(95.5, 0.5), point(105, 0.7))
    assert say_reach(reach) == (
        "Stays on the top half from 96 on; at the goal 84 it takes 2 breaths; "
        "in one breath from 281 on."
    )


def test_where_it_never_works_it_says_so() -> None:
    reach = reach_of(point(84, 0.1, dry=True), point(105, 0.6, dry=True))
    assert say_reach(reach) == (
        "Goes below half at each of these tempos; at the goal 84 the air does not "
        "last; in one breath from 281 on."
    )


def test_where_only_some_tempos_leave_the_top_half_they_are_counted() -> None:
    reach = reach_of(point(42, 0.6), point(84, 0.55), point(105, 0.4))
    assert say_reach(reach).startswith("Goes below half at 1 of these 3 tempos; ")


def test_a_tempo_that_nobody_plays_is_called_none() -> None:
    reach = reach_of(point(84, 0.6))
    assert say_reach(replace(reach, fastest_bpm=281.0)).endswith(
        "in one breath from 281 on."
    )
    assert say_reach(replace(reach, fastest_bpm=280.0)).endswith(
        "in one breath at no tempo."
    )


def test_a_phrase_of_one_breath_needs_none() -> None:
    assert "at the goal 84 it takes no breath;" in say_reach(
        reach_of(point(84, 0.6, 0))
    )


@pytest.mark.parametrize(
    ("breaths", "optional", "said"),
    [
        (1, 1, "1 breath, optional;"),
        (2, 2, "2 breaths, both optional;"),
        (4, 4, "4 breaths, all optional;"),
        (4, 1, "4 breaths, 1 of them optional;"),
    ],
)
def test_breaths_that_the_air_lasts_without_are_told(
    breaths: int, optional: int, said: str
) -> None:
    at_goal = replace(point(84, 0.6, breaths), optional=optional)
    assert f"at the goal 84 it takes {said}" in say_reach(reach_of(at_goal))


def test_where_it_never_leaves_the_top_half_no_tempo_is_named_for_it() -> None:
    """The slowest that was tried is no limit."""
    assert say_reach(reach_of(point(42, 0.6), point(84, 0.7))).startswith(
        "Stays on the top half at each of these tempos; "
    )
