"""The timing clock for other gear.

MIDI 1.0 Detailed Specification (MIDI Manufacturers Association): 24 clocks a quarter
note; song position in sixteenths.
"""

from __future__ import annotations

import pytest

from coach.rehearsal.click.timing_clock import TimingClock, tick_clock
from coach.score.tempo import TempoMap, TempoMark, beats

SIXTY = TempoMap((TempoMark(beats(0), 60.0),))


def ticked(
    first: str = "0", start: str = "0", end: str = "4", top: str = "0"
) -> TimingClock:
    """Lay ticks at 60 quarters a minute."""
    return tick_clock(
        SIXTY,
        first=beats(first),
        start=beats(start),
        end=beats(end),
        from_top=beats(top),
    )


def test_a_quarter_has_24_ticks() -> None:
    ticks = ticked(end="1").ticks
    assert len(ticks) == 24
    assert ticks == pytest.approx([k / 24 for k in range(24)])


def test_ticks_follow_a_change_of_tempo() -> None:
    faster = TempoMap((TempoMark(beats(0), 60.0), TempoMark(beats(1), 120.0)))
    ticks = tick_clock(
        faster, first=beats(0), start=beats(0), end=beats(2), from_top=beats(0)
    ).ticks
    assert ticks[24] - ticks[23] == pytest.approx(1 / 24)
    assert ticks[25] - ticks[24] == pytest.approx(1 / 48)


def test_ticks_run_from_the_count_in_so_that_gear_can_settle() -> None:
    clock = ticked(first="-4")
    assert float(clock.ticks[0]) == -4
    assert float(clock.starts) == 0
    assert clock.song_position == 0


def test_gear_starts_with_the_pickup() -> None:
    clock = ticked(first="-8", start="-1")
    assert float(clock.starts) == -1
    assert clock.starts in clock.ticks


def test_a_segment_starts_gear_at_its_place_on_the_page() -> None:
    """Two quarters in: eight sixteenths make position 8 (F2 08 00)."""
    clock = ticked(top="2")
    assert clock.song_position == 8
    assert float(clock.starts) == 0


def test_between_sixteenths_gear_starts_on_the_next_one() -> None:
    clock = ticked(top="1/3")
    assert clock.song_position == 2
    assert clock.starts == pytest.approx(1 / 2 - 1 / 3)
    assert clock.starts in clock.ticks


def test_beyond_what_fourteen_bits_can_say_gear_starts_at_the_last_place() -> None:
    clock = ticked(top="5000")
    assert clock.song_position == 16383
    assert float(clock.starts) == 0


def test_ticks_stop_where_the_part_ends() -> None:
    assert max(ticked(start="0", end="3").ticks) < 3
