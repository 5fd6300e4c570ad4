"""Leave one line of a MIDI track: no note reaches into the next.

A player's hands or a program's *legato* let notes overlap by a little, and an
accompaniment sounds under a tune.  Neither is how a wind player's page looks, and
music21 would make voices of both.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from copy import copy
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from typing import Any

from coach.edges.scores.in_child.formats.midi_scan import nearest_tick

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

    event: Any = None
    """The event of its file that starts it."""


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
        note.on = nearest_tick(note.on, grid, division)
        note.off = max(note.on + 1, nearest_tick(note.off, grid, division))
    for note, following in pairwise(line):
        note.off = max(note.on + 1, min(note.off, following.on))


def thin_track(
    track: Any, division: int, grid: Sequence[int], make_gap: Callable[[int], Any]
) -> tuple[bool, bool]:
    """Leave one line on each channel of a track; say what was left out.

    The track is music21's: its events, with a gap in ticks before each, which
    `make_gap` makes anew.  Said is whether notes were left out that sound under
    others, and whether some were that never end or have no length.
    """
    struck: dict[int, list[Struck]] = defaultdict(list)
    sounding: dict[tuple[int, int], Struck] = {}
    events: list[tuple[int, int, Any]] = []
    ticks = 0
    for event in track.events:
        if event.type == "DeltaTime":
            ticks += event.time
        elif event.isNoteOn() or event.isNoteOff():
            place = (event.channel, event.pitch)
            if place in sounding:
                sounding.pop(place).off = ticks
            if event.isNoteOn():
                sounding[place] = Struck(ticks, ticks, event.pitch, event)
                struck[event.channel].append(sounding[place])
        else:
            events.append((ticks, 1, event))
    is_thinned = is_endless = False
    for notes in struck.values():
        ended = [note for note in notes if note.off > note.on]
        is_endless |= len(ended) < len(notes)
        line, is_thin = top_line(ended, division)
        is_thinned |= is_thin
        snap(line, grid, division)
        for note in line:
            events.append((note.on, 2, note.event))
            events.append((note.off, 0, _letting_go(note.event)))
    _lay(track, sorted(events, key=lambda event: event[:2]), make_gap)
    return is_thinned, is_endless


def _letting_go(event: Any) -> Any:
    """Make the end of a note: a start without velocity, as MIDI 1.0 has it."""
    end = copy(event)
    end.velocity = 0
    return end


def _lay(
    track: Any, events: Sequence[tuple[int, int, Any]], make_gap: Callable[[int], Any]
) -> None:
    """Write events in order with the gaps between them."""
    laid: list[Any] = []
    now = 0
    for tick, _, event in events:
        laid += [make_gap(tick - now), event]
        now = tick
    track.events = laid
