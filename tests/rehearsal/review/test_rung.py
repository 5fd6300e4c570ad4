"""A rung of the ladder in words."""

from __future__ import annotations

import pytest

from coach.rehearsal.review.advice import Advice
from coach.rehearsal.review.rung import Rung, find_rung
from tests.rehearsal.review.test_ladder import LADDER, SCALE, failing, run


@pytest.mark.parametrize(
    ("clean", "bpm", "says"),
    [
        (0, 72, "0 of 3 clean at 72, then 76"),
        (5, 72, "3 of 3 clean at 72, then 76"),
        (1, 90, "1 of 3 clean at 90, then 92"),
        (1, 92, "1 of 3 clean at 92, the goal"),
        (1, 160, "1 of 3 clean at 160, above the goal 92"),
    ],
)
def test_the_next_tempo_is_never_beyond_the_goal(
    clean: int, bpm: float, says: str
) -> None:
    notch = 76 if bpm == 72 else 96
    rung = Rung(clean=clean, wanted=3, bpm=bpm, next_bpm=notch, goal_bpm=92)
    assert rung.say() == says


def test_a_rung_counts_as_the_ladder_does() -> None:
    """Anew after a move down, and nothing at a tempo at which one does not stand."""
    again = Advice("again", 5, 8, 80, "", needed=6)
    runs = [*[run(9 - k) for k in range(2)], *failing(6, 5, 4), run(3, bpm=80)]
    assert find_rung(runs, (80, 96), again, LADDER, SCALE).clean == 1
    assert find_rung(runs, (84, 96), again, LADDER, SCALE).clean == 0
    up = [*runs, run(2, bpm=84)]
    assert find_rung(up, (84.4, 96), again, LADDER, SCALE).clean == 1
    assert find_rung(up, (84, 96), again, LADDER, SCALE).wanted == 6
    assert find_rung((), (84, 96), again, LADDER, SCALE).clean == 0


def test_a_rung_names_the_tempo_that_is_advised() -> None:
    """Far from the goal the ladder climbs by two notches."""
    faster = Advice("faster", 5, 8, 52, "")
    rung = find_rung([run(1, bpm=48)], (48, 76), faster, LADDER, SCALE)
    assert rung.say() == "1 of 1 clean at 48, then 52"
