"""A take put together from blocks of sound."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from coach.edges.hearing.in_child.take_maker import TakeMaker
from coach.rehearsal.gear.gear import SoundHeard
from coach.rehearsal.hearing.take import TakenClick
from coach.score.tempo import Seconds

RATE = 8000.0
SOUND: NDArray[np.float32] = np.linspace(0, 0.5, 4000, dtype=np.float32)
CLICKS = (TakenClick(Seconds(-1.0), 0),)


def block(
    first: int, count: int = 400, *, late: float = 0.0, has_gap: bool = False
) -> SoundHeard:
    samples: NDArray[np.float32] = SOUND[first : first + count]
    at = Seconds(-2.0 + first / RATE + late)
    return SoundHeard(at, RATE, samples.tobytes(), has_gap=has_gap, is_timed=True)


def test_blocks_follow_each_other() -> None:
    maker = TakeMaker()
    for first in range(0, 4000, 400):
        maker.add(block(first))
    take = maker.take(CLICKS)
    assert take is not None
    assert np.array_equal(take.samples, SOUND)
    assert (take.rate_hz, take.sounding.clicks) == (RATE, CLICKS)
    assert take.sounding.began == pytest.approx(-2.0)


def test_what_is_missing_is_silent() -> None:
    maker = TakeMaker()
    maker.add(block(0))
    maker.add(block(1200, has_gap=True))
    maker.add(block(1600))
    take = maker.take(())
    assert take is not None
    expected = np.concatenate([SOUND[:400], np.zeros(800, "<f4"), SOUND[1200:2000]])
    assert np.array_equal(take.samples, expected)
    assert take.sounding.began == pytest.approx(-2.0)


def test_a_stamp_that_is_off_moves_nothing() -> None:
    maker = TakeMaker()
    for k, first in enumerate(range(0, 4000, 400)):
        maker.add(block(first, late=0.02 if k == 0 else 0.0))
    take = maker.take(())
    assert take is not None
    assert take.sounding.began == pytest.approx(-2.0)


def test_a_way_through_the_gear_that_nobody_measured_makes_the_beginning_unknown() -> (
    None
):
    maker = TakeMaker()
    maker.add(block(0))
    maker.add(SoundHeard(Seconds(-1.95), RATE, SOUND[400:800].tobytes()))
    take = maker.take(())
    assert take is not None
    assert take.sounding.began is None


def test_nothing_heard_is_no_take() -> None:
    assert TakeMaker().take(()) is None
