"""Leave one line of a MIDI track: no note reaches into the next.

A player's hands or a program's *legato* let notes overlap by a little, and an
accompaniment sounds under a tune.  Neither is how a wind player's page looks, and
music21 would make voices of both.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from music21.midi import ChannelVoiceMessages, DeltaTime, MidiEvent, MidiTrack

CHORD_SHARE = Fraction(1, 16)
"""Notes that start within this share of a quarter note are one chord; our choice."""

LEGATO_SHARE = Fraction(1, 2)
"""A note that the next one meets this late or later has only been held over."""


@dataclass(slots=True)
class Struck:
    """A key that is struck and let go."""

    on: int
    """Tick of its start."""

    off: int
    """Tick of its end."""

    key: int
    """Key number."""


def top_line(notes: Sequence[Struck], division: int) -> tuple[list[Struck], bool]:
    """Keep the top of what sounds together; say whether anything was left out.

    Notes come in order of their start; `division` is a quarter note in ticks.
    """
    line: list[Struck] = []
    is_thinned = False
    for note in notes:
        last = line[-1] if line else None
        if last is None or note.on >= last.off:
            line.append(note)
        elif note.on - last.on < CHORD_SHARE * division:
            is_thinned = True
            if note.key > last.key:
                line[-1] = note
        elif note.key > last.key or _is_held_over(last, note):
            last.off = note.on
            line.append(note)
        else:
            is_thinned = True
    return line, is_thinned


def _is_held_over(last: Struck, note: Struck) -> bool:
    """Tell a note that was held a little too long from one that goes on."""
    return note.on - last.on >= LEGATO_SHARE * (last.off - last.on)


def snap(line: Sequence[Struck], grid: Sequence[int], division: int) -> None:
    """Move a line onto a grid, each note ending at the latest where the next starts.

    music21 moves starts and lengths apart from each other, so that notes overlap.
    """
    for note in line:
        note.on = _nearest(note.on, grid, division)
        note.off = max(note.on + 1, _nearest(note.off, grid, division))
    for note, following in pairwise(line):
        note.off = max(note.on + 1, min(note.off, following.on))


def _nearest(tick: int, grid: Sequence[int], division: int) -> int:
    """Give the tick of a grid that is nearest to another."""
    slots = [(round(tick * parts / division), parts) for parts in grid]
    places = [slot * division / parts for slot, parts in slots]
    return min((abs(place - tick), round(place)) for place in places)[1]


def thin_track(track: MidiTrack, division: int, grid: Sequence[int]) -> bool:
    """Leave one line on each channel of a track; say whether notes were left out."""
    ticks = 0
    others: list[tuple[int, MidiEvent]] = []
    struck: dict[int, list[Struck]] = defaultdict(list)
    sounding: dict[tuple[int, int], Struck] = {}
    for event in track.events:
        if isinstance(event, DeltaTime):
            ticks += event.time
        elif event.isNoteOn() or event.isNoteOff():
            channel, key = event.channel or 1, int(event.pitch or 0)
            if (channel, key) in sounding:
                sounding.pop((channel, key)).off = ticks
            if event.isNoteOn():
                note = Struck(ticks, ticks, key)
                struck[channel].append(note)
                sounding[channel, key] = note
        else:
            others.append((ticks, event))
    is_thinned = False
    events = [(tick, 1, event) for tick, event in others]
    for channel, notes in struck.items():
        ended = [note for note in notes if note.off > note.on]
        line, is_thin = top_line(ended, division)
        is_thinned |= is_thin
        snap(line, grid, division)
        for note in line:
            events.append((note.on, 2, _event(track, channel, note.key, is_on=True)))
            events.append((note.off, 0, _event(track, channel, note.key, is_on=False)))
    _lay(track, sorted(events, key=lambda event: event[:2]))
    return is_thinned


def _event(track: MidiTrack, channel: int, key: int, *, is_on: bool) -> MidiEvent:
    """Make a note event."""
    kind = ChannelVoiceMessages.NOTE_ON if is_on else ChannelVoiceMessages.NOTE_OFF
    event = MidiEvent(track, type=kind, channel=channel)
    event.pitch = key
    event.velocity = 64 if is_on else 0
    return event


def _lay(track: MidiTrack, events: Sequence[tuple[int, int, MidiEvent]]) -> None:
    """Write events in order with the time between them."""
    laid: list[MidiEvent | DeltaTime] = []
    now = 0
    for tick, _, event in events:
        laid += [DeltaTime(track, time=tick - now), event]
        now = tick
    track.events = laid
