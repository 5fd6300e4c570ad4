"""Look through a MIDI file before music21 does: is it whole, how long, on what grid."""

from __future__ import annotations

import struct
from collections.abc import Sequence
from dataclasses import dataclass, field

from coach.edges.scores.score_limits import ScoreLimits, unreadable

EXPORT_AGAIN = "Export it again."

# MIDI 1.0, Standard MIDI Files: sizes of headers and what status bytes bring.
HEADER_BYTES = 14
CHUNK_BYTES = 8
STATUS = 0x80
NOTE_ON = 0x90
PITCH_WHEEL, WHEEL_MIDDLE = 0xE0, (0, 0x40)
SYSTEM = 0xF0
SYSTEM_EXCLUSIVE = (0xF0, 0xF7)
META = 0xFF
ONE_BYTE = (0xC0, 0xD0)
SMPTE = 0x8000
CONTINUES = 0x80
SEVEN_BITS = 0x7F


GRIDS = ((4, 3), (8, 6), (16, 12), (8, 6, 5), (16, 12, 10, 7))
"""Parts of a quarter note that notes may start on, coarsest first; our own choice."""

ON_GRID_SHARE = 0.995
"""Share of notes that a grid must fit: the rest may be grace notes; our own choice."""

FINEST = 32
"""Parts of a quarter note; notes nearer than one of them start together; our choice."""

TICKS_OFF = 1
"""Rounding of the program that wrote the file."""


@dataclass(frozen=True, slots=True)
class MidiScan:
    """What a MIDI file holds."""

    division: int
    """Ticks of a quarter note."""

    onsets: tuple[int, ...]
    """Tick of each note of each track."""

    is_bent: bool = False
    """Some pitch wheel is moved away from its middle."""


def scan_midi(content: bytes, name: str, limits: ScoreLimits) -> MidiScan:
    """Walk through a MIDI file's tracks; raise ScoreError if it is unfit to read."""
    if len(content) < HEADER_BYTES:
        raise unreadable(name, "breaks off in its first bytes", EXPORT_AGAIN)
    size, form, tracks, division = struct.unpack(">IHHH", content[4:HEADER_BYTES])
    if division == 0:
        raise unreadable(name, "says nowhere how long a beat is", EXPORT_AGAIN)
    if division & SMPTE:
        raise unreadable(
            name, "counts its time in film frames, not in beats", "Export it in beats."
        )
    if form > 1:
        raise unreadable(name, "holds several pieces in one file", EXPORT_AGAIN)
    place = CHUNK_BYTES + size
    onsets: list[int] = []
    is_bent = False
    for number in range(1, tracks + 1):
        kind, length = _chunk(content, place, name, number)
        end = place + CHUNK_BYTES + length
        if kind == b"MTrk":
            walk = _Track(content, place + CHUNK_BYTES, end)
            try:
                walk.run()
            except IndexError:
                raise unreadable(
                    name, f"is broken in track {number}", EXPORT_AGAIN
                ) from None
            onsets += walk.onsets
            is_bent |= walk.is_bent
            if walk.ticks > limits.length_quarters * division:
                raise unreadable(
                    name,
                    f"is longer than {limits.length_quarters} beats",
                    "Choose a shorter score.",
                )
        place = end
    return MidiScan(division, tuple(onsets), is_bent)


def _chunk(content: bytes, place: int, name: str, number: int) -> tuple[bytes, int]:
    """Read the head of a chunk; its content must be there."""
    head = content[place : place + CHUNK_BYTES]
    if len(head) == CHUNK_BYTES:
        kind, length = struct.unpack(">4sI", head)
        if place + CHUNK_BYTES + length <= len(content):
            return kind, length
    raise unreadable(name, f"breaks off in track {number}", EXPORT_AGAIN)


@dataclass(slots=True)
class _Track:
    """A walk through the events of one track."""

    content: bytes
    place: int
    end: int
    status: int = 0
    ticks: int = 0
    onsets: list[int] = field(default_factory=list)
    is_bent: bool = False

    def run(self) -> None:
        """Walk to the end; IndexError when an event reaches past it."""
        while self.place < self.end:
            self.ticks += self._number()
            self._event()

    def _byte(self) -> int:
        """Read a byte of this track."""
        if self.place >= self.end:
            raise IndexError
        self.place += 1
        return self.content[self.place - 1]

    def _number(self) -> int:
        """Read a number of variable length, of four bytes at most."""
        value = 0
        for _ in range(4):
            byte = self._byte()
            value = (value << 7) | (byte & SEVEN_BITS)
            if not byte & CONTINUES:
                return value
        raise IndexError

    def _event(self) -> None:
        """Pass over one event; count it if it starts a note."""
        status = self.content[self.place] if self.place < self.end else 0
        if status & STATUS:
            self.place += 1
            self.status = status
        if self.status == META:
            self._byte()
            self._skip(self._number())
        elif self.status in SYSTEM_EXCLUSIVE:
            self._skip(self._number())
        elif STATUS <= self.status < SYSTEM:
            kind = self.status & SYSTEM
            low = self._byte()
            second = 0 if kind in ONE_BYTE else self._byte()
            if kind == NOTE_ON and second > 0:
                self.onsets.append(self.ticks)
            elif kind == PITCH_WHEEL:
                self.is_bent |= (low, second) != WHEEL_MIDDLE
        else:
            raise IndexError

    def _skip(self, length: int) -> None:
        """Pass over some bytes."""
        self.place += length
        if self.place > self.end:
            raise IndexError


def find_grid(scan: MidiScan) -> tuple[Sequence[int], bool]:
    """Find the coarsest grid that the notes start on, and say whether they do.

    Freely played notes are on none; theirs is the coarsest on which hardly any two
    of them start together that did not before.
    """
    onsets, division = scan.onsets, scan.division
    for grid in GRIDS:
        near = sum(_is_near(onset, grid, division) for onset in onsets)
        if near >= ON_GRID_SHARE * len(onsets):
            return grid, True
    apart = {onset * FINEST // division for onset in onsets}
    for grid in GRIDS:
        moved = {nearest_tick(onset, grid, division) for onset in onsets}
        if len(moved) >= ON_GRID_SHARE * len(apart):
            return grid, False
    return GRIDS[-1], False


def nearest_tick(tick: int, grid: Sequence[int], division: int) -> int:
    """Give the tick of a grid that is nearest to another."""
    slots = [(round(tick * parts / division), parts) for parts in grid]
    places = [slot * division / parts for slot, parts in slots]
    return min((abs(place - tick), round(place)) for place in places)[1]


def _is_near(onset: int, grid: Sequence[int], division: int) -> bool:
    """Tell whether a tick is on a grid, but for rounding."""
    for parts in grid:
        away = onset * parts % division
        if min(away, division - away) <= TICKS_OFF * parts:
            return True
    return False
