"""Leave one line of a MIDI track: no note reaches into the next.

A player's hands or a program's *legato* let notes overlap by a little, and an
accompaniment sounds under a tune.  Neither is how a wind player's page looks, and
music21 would make voices of both.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence
from copy import copy
from dataclasses import dataclass, field
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


@dataclass(slots=True)
class Key:
    """A key of one channel: what sounds on it, and what ends it.

    A key that is struck again ends its note.  Where the end of that comes only then, as
    programs write a *legato* of one pitch, it does not end the new one.
    """

    sounding: Struck | None = None
    """The note that it sounds."""

    late_until: list[Fraction] = field(default_factory=list)
    """For each note that was struck again before its end: the end comes before this
    tick, or never."""

    def strike(self, note: Struck) -> None:
        """Begin a note, and end the one that sounds."""
        last = self.sounding
        if last is not None:
            last.off = note.on
            self.late_until.append(note.on + LEGATO_SHARE * (note.on - last.on))
        self.sounding = note

    def let_go(self, tick: int) -> None:
        """End the note that sounds, unless this is the end of an older one."""
        if self.sounding is None:
            return
        self.sounding.off = tick
        self.late_until = [until for until in self.late_until if tick < until]
        if self.late_until:
            del self.late_until[0]
        else:
            self.sounding = None


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
    keys: dict[tuple[int, int], Key] = defaultdict(Key)
    events: list[tuple[int, int, Any]] = []
    ticks = 0
    for event in track.events:
        if event.type == "DeltaTime":
            ticks += event.time
        elif event.isNoteOn():
            note = Struck(ticks, ticks, event.pitch, event)
            keys[event.channel, event.pitch].strike(note)
            struck[event.channel].append(note)
        elif event.isNoteOff():
            keys[event.channel, event.pitch].let_go(ticks)
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
