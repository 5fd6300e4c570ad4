"""The clock that stands still until it is moved."""

from __future__ import annotations

from coach.rehearsal.gear.gear import ManualClock
from coach.score.tempo import Seconds


def test_a_manual_clock_stands_still() -> None:
    clock = ManualClock(Seconds(3.0))
    assert (float(clock.now()), float(clock.now())) == (3.0, 3.0)


def test_waiting_moves_a_manual_clock_on_and_never_back() -> None:
    clock = ManualClock()
    clock.wait_until(Seconds(5.0))
    clock.wait_until(Seconds(2.0))
    assert float(clock.now()) == 5.0
