"""Keep other gear in step: timing clock, song position, start and stop."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable
from math import ceil, inf

from coach.edges.midi import midi_bytes
from coach.rehearsal.click.clicks import ClickTrack

CLOCKS_PER_SIXTEENTH = 6
"""MIDI 1.0: song position counts six timing clocks."""


class GearSync:
    """Sends the clocks of a track, and starts gear on the right one."""

    def __init__(self, send: Callable[[bytes], None], start_before_s: float) -> None:
        self._send = send
        self._start_before_s = start_before_s
        self._clocks: tuple[float, ...] = ()
        self._next = 0
        self._position = 0
        self._starts = inf
        self._runs = False

    def load(self, track: ClickTrack, now: float) -> None:
        """Take a track from `now` on: start gear, or let it run or stop."""
        self._clocks = track.clocks
        self._next = bisect_left(track.clocks, now)
        if not track.clocks:
            self.stop()
        elif not self._runs:
            self._aim(track, now + self._start_before_s)

    def stop(self) -> None:
        """Stop gear that was started."""
        if self._runs:
            self._send(midi_bytes.STOP_PLAYING)
        self._runs, self._starts = False, inf

    @property
    def clock_due(self) -> float:
        """When the next clock is due."""
        return self._clocks[self._next] if self._next < len(self._clocks) else inf

    @property
    def start_due(self) -> float:
        """When gear must be told to start."""
        return self._starts

    def send_clock(self) -> None:
        """Send one clock."""
        self._send(midi_bytes.TIMING_CLOCK)
        self._next += 1

    def send_start(self) -> None:
        """Tell gear to start with the next clock."""
        for message in midi_bytes.start_at(self._position):
            self._send(message)
        self._runs, self._starts = True, inf

    def _aim(self, track: ClickTrack, earliest: float) -> None:
        """Choose the clock on which gear starts: one that song position can name."""
        zero = bisect_left(track.clocks, track.clock_starts)
        ahead = max(0, bisect_left(track.clocks, earliest) - zero)
        sixteenths = ceil(ahead / CLOCKS_PER_SIXTEENTH)
        place = zero + sixteenths * CLOCKS_PER_SIXTEENTH
        self._position = track.song_position + sixteenths
        is_there = place < len(track.clocks)
        self._starts = track.clocks[place] - self._start_before_s if is_there else inf
