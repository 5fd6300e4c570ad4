"""When the timing clock ticks for other gear, and where on the page that gear starts.

References
----------
MIDI 1.0 Detailed Specification (MIDI Manufacturers Association), System Real Time
Messages: 24 timing clocks a quarter note.  System Common Messages: song position
counts MIDI beats of six clocks (sixteenths) from the top of the song in 14 bits.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from coach.score.tempo import Beats, Seconds, TempoMap

CLOCKS_PER_QUARTER = 24
SIXTEENTHS_PER_QUARTER = 4
LAST_SONG_POSITION = 2**14 - 1


@dataclass(frozen=True, slots=True)
class TimingClock:
    """The ticks of one run."""

    ticks: tuple[Seconds, ...]
    """When each is due, in run time; from the count-in on, so that gear can settle."""

    song_position: int
    """Where gear starts, in sixteenths from the top of the page."""

    starts: Seconds
    """The tick on which it starts: the first one that a song position can name."""


def tick_clock(
    tempo_map: TempoMap, *, first: Beats, start: Beats, end: Beats, from_top: Beats
) -> TimingClock:
    """Lay the ticks of one run.

    Parameters
    ----------
    first : Beats
        Where the first sound of the run lies: the count-in, or the start itself.
    start, end : Beats
        Where the part begins and ends.
    from_top : Beats
        How far from the top of the page the part begins.
    """
    sixteenths = from_top * SIXTEENTHS_PER_QUARTER
    position = min(ceil(sixteenths), LAST_SONG_POSITION)
    wait = max(Fraction(0), position - sixteenths) / SIXTEENTHS_PER_QUARTER
    named = start + wait
    ticks = range(
        ceil((first - named) * CLOCKS_PER_QUARTER),
        ceil((end - named) * CLOCKS_PER_QUARTER),
    )
    return TimingClock(
        ticks=tuple(
            tempo_map.seconds_at(Beats(named + Fraction(tick, CLOCKS_PER_QUARTER)))
            for tick in ticks
        ),
        song_position=position,
        starts=tempo_map.seconds_at(Beats(named)),
    )
