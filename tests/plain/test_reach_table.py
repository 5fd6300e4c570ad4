"""The reach of the air, as a player reads it."""

from __future__ import annotations

from coach.plain.reach_table import reach_lines
from coach.planning.reach import OneBreath, Reach, ReachPoint
from coach.score.phrase import Place

EASY = OneBreath(-1.0, 40.2, 80.0, 3.1, None)
HARD = OneBreath(0.0, 96.0, 130.0, 5.1, Place(1, 3.0))
FITS = ReachPoint(90.0, 0, 0.31, 0.25, None, 1.0)
DRY = ReachPoint(45.0, 2, 0.05, 0.75, Place(1, 4.0), 9.0)


def test_a_line_for_each_loudness_and_each_tempo() -> None:
    lines = reach_lines(Reach(90.0, (EASY, HARD), (DRY, FITS), 0.1, 0.5))
    text = "\n".join(lines)
    assert lines[0].startswith("Goes below half at each of these tempos; at the")
    assert "-1 step      from 41 on; on the top half from 80 on" in text
    assert "at 90 it needs lungs of 3.1 L" in text
    assert "as written" in text
    assert "runs out in bar 1, beat 3" in text
    assert "runs out in bar 1, beat 4" in text
    assert lines[-1].split() == ["90", "0", "31%", "25%"]


def test_no_tempo_and_no_lungs_are_named_that_nobody_has() -> None:
    """What works from 1242 on or takes 41 litres does not work."""
    low = OneBreath(0.0, 421.0, 1242.0, 41.2, Place(1, 3.0))
    reach = Reach(60.0, (HARD, low), (FITS,), 0.1, 0.5, None, 400.0, 8.4)
    text = "\n".join(reach_lines(reach))
    assert "from 96 on; on the top half from 130 on; at 60 it needs lungs of" in text
    assert "at no tempo; on the top half at no tempo; at 60 even the" in text
    assert (
        "even the largest lungs (8.4 L) are too small; runs out in bar 1, beat 3"
        in text
    )
    assert "in one breath at no tempo." in text
