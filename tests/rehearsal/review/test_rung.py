"""A rung of the ladder in words."""

from __future__ import annotations

import pytest

from coach.rehearsal.review.rung import Rung


@pytest.mark.parametrize(
    ("clean", "bpm", "says"),
    [
        (0, 72, "0 of 3 clean at 72, then 76"),
        (5, 72, "3 of 3 clean at 72, then 76"),
        (1, 90, "1 of 3 clean at 90, then 92"),
        (1, 92, "1 of 3 clean at 92, the goal"),
    ],
)
def test_the_next_tempo_is_never_beyond_the_goal(
    clean: int, bpm: float, says: str
) -> None:
    notch = 76 if bpm == 72 else 96
    rung = Rung(clean=clean, wanted=3, bpm=bpm, next_bpm=notch, goal_bpm=92)
    assert rung.say() == says
