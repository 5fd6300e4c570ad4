"""When samples are in the air, by two witnesses that both err."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

import pytest

from coach.config import read_settings
from coach.edges.sound.sample_clock import ClockSettings, SampleClock, common

RATE_HZ, BLOCK = 48_000.0, 480
BLOCK_S = BLOCK / RATE_HZ
LATENCY_S = 0.12
SETTINGS = read_settings(ClockSettings, "sound", "clock")

Moves = Callable[[int], float]


def still(_block: int) -> float:
    return 0.0


def ran(
    blocks: int,
    callbacks_moved: Moves = still,
    stamps_moved: Moves = still,
    torn: frozenset[int] = frozenset(),
) -> SampleClock:
    """Feed blocks; callbacks come in pairs, a little late, as servers ask.

    Sample 0 was in the air at 100 s; both witnesses may say that it moved.
    """
    clock, noise = SampleClock(SETTINGS, RATE_HZ, BLOCK), Random(1)
    for k in range(blocks):
        late = (k % 2) * BLOCK_S / 2 + noise.expovariate(1 / 0.0003)
        called = 100.0 - LATENCY_S + k * BLOCK_S + callbacks_moved(k) + late
        in_air = 100.0 + k * BLOCK_S + stamps_moved(k) + noise.gauss(0.0, 0.0002)
        clock.feed(k * BLOCK, called, in_air - called, is_torn=k in torn)
    return clock


def after(block: int, moved: float) -> Moves:
    return lambda k: moved if k >= block else 0.0


def test_an_even_stream_is_known_after_a_moment() -> None:
    assert not ran(30).is_settled
    clock = ran(80)
    assert clock.is_settled
    assert clock.is_sure
    assert clock.time_of(48_000) == pytest.approx(101.0, abs=1e-4)
    assert clock.sample_at(clock.time_of(1234)) == 1234
    assert clock.distance == pytest.approx(LATENCY_S, abs=3e-4)


def test_dropped_sound_moves_the_stream() -> None:
    """Both witnesses say that everything is heard 30 ms later than before."""
    clock = ran(400, after(200, 0.030), after(200, 0.030))
    assert clock.time_of(0) == pytest.approx(100.030, abs=5e-4)
    assert clock.steps >= 1


def test_a_buffer_that_fills_up_moves_nothing() -> None:
    """Callbacks come 10 ms sooner for good, and yet nothing is heard sooner."""
    clock = ran(600, callbacks_moved=after(200, -0.010))
    assert clock.time_of(0) == pytest.approx(100.0, abs=1e-4)
    assert clock.steps == 0


def test_stamps_that_wander_move_nothing() -> None:
    clock = ran(1000, stamps_moved=lambda k: 0.00002 * min(250, max(0, k - 200)))
    assert clock.time_of(0) == pytest.approx(100.0, abs=2e-4)
    assert clock.steps == 0


def test_stamps_that_jump_move_nothing() -> None:
    clock = ran(500, stamps_moved=lambda k: 0.031 if 200 <= k < 290 else 0.0)
    assert clock.time_of(0) == pytest.approx(100.0, abs=1e-3)


@pytest.mark.parametrize("parts", [1e-4, -1e-4, 3e-5])
def test_two_clocks_that_part_are_kept_together(parts: float) -> None:
    """A sound card that is 100 millionths slow: 6 ms in a minute."""

    def slow(block: int) -> float:
        return block * BLOCK_S * parts

    clock = ran(6000, slow, slow)
    assert clock.time_of(0) == pytest.approx(100.0 + 60 * parts, abs=0.0015)


def test_two_underruns_add_up() -> None:

    def twice(block: int) -> float:
        return 0.02 * (block >= 200) + 0.015 * (block >= 400)

    assert ran(600, twice, twice).time_of(0) == pytest.approx(100.035, abs=1e-3)


def test_a_told_drop_is_doubted_for_a_moment() -> None:
    assert not ran(201, torn=frozenset([200])).is_sure
    assert not ran(210, torn=frozenset([200])).is_sure
    assert ran(240, torn=frozenset([200])).is_sure


def test_the_time_is_found_again_only_well_after_it_is_sure() -> None:
    """It moves in pieces: one that comes after the doubt is still of the drop."""
    torn = frozenset([200])
    found = SETTINGS.found_samples // BLOCK
    assert ran(199).is_found
    assert not ran(210, torn=torn).is_found
    assert not ran(200 + found, torn=torn).is_found
    assert ran(240 + found, torn=torn).is_found


def test_an_untold_drop_is_noticed_by_its_late_stamp() -> None:
    """The callback came later than the buffer lasts, and its sound comes later too."""
    moved = after(200, 0.15)
    assert not ran(203, moved, moved).is_sure


def test_a_late_callback_alone_is_no_drop() -> None:
    assert ran(203, callbacks_moved=after(200, 0.15)).is_sure


def test_doubt_does_not_last_for_ever() -> None:
    """Callbacks that never agree again must not silence the click for good."""

    def ragged(block: int) -> float:
        return (block // 8 % 2) * 0.004 if block >= 200 else 0.0

    assert ran(300, ragged, torn=frozenset([200])).is_sure


def test_a_stream_that_runs_unevenly_after_a_drop_is_followed_all_the_same() -> None:
    """Else every later callback would look like another drop, and the click be gone."""

    def dropped(block: int) -> float:
        return 0.2 if block >= 200 else 0.0

    def ragged(block: int) -> float:
        return dropped(block) + (block - 200) * 0.0005 * (block >= 200)

    clock = ran(290, ragged, dropped)
    assert clock.is_sure
    assert clock.time_of(0) == pytest.approx(100.2, abs=0.005)


def test_a_driver_without_stamps_is_believed_in_its_latency() -> None:
    clock = SampleClock(SETTINGS, RATE_HZ, BLOCK)
    clock.settle(0.05)
    assert not clock.is_settled
    for k in range(300):
        clock.feed(k * BLOCK, 100.0 + k * BLOCK_S, None, is_torn=False)
    assert not clock.is_settled
    clock.settle(0.05)
    assert clock.time_of(0) == pytest.approx(100.05)
    clock.settle(0.5)
    assert clock.time_of(0) == pytest.approx(100.05), "what is known stays"


@pytest.mark.parametrize(
    ("one", "other", "both"),
    [(2.0, 3.0, 2.0), (-3.0, -2.0, -2.0), (2.0, -1.0, 0.0), (0.0, 5.0, 0.0)],
)
def test_two_moves_have_the_smaller_in_common(
    one: float, other: float, both: float
) -> None:
    assert common(one, other) == both
