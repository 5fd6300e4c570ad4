"""Every sound of a run and when it is due: clicks, cues, guide notes, drone.

Nothing is decided while the track sounds: each click has its due time, so that an
engine only has to keep it.

Conventions
-----------
Due times are run time: 0 is the first beat of bar 1, or of the segment; the count-in
lies below 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from coach.score.tempo import Seconds

LOUDEST = 127
"""The greatest velocity: MIDI 1.0."""


class SoundKind(StrEnum):
    """What a sound of the track is for."""

    ACCENT = "accent"
    BEAT = "beat"
    SUBDIVISION = "subdivision"
    COUNT_IN = "count-in"
    CUE = "cue"
    GUIDE = "guide"
    DRONE = "drone"
    TAKE = "take"


@dataclass(frozen=True, slots=True)
class Click:
    """One sound of the track."""

    due: Seconds
    """When it must sound, in run time; the count-in lies before 0."""

    length: Seconds
    """How long it is held."""

    kind: SoundKind
    """What it is for."""

    channel: int
    """MIDI channel, from 0."""

    key: int
    """MIDI key number."""

    velocity: int
    """MIDI velocity, 1 to 127; 0 for a click that is shown and not heard."""

    bar: int = 0
    """Bar number on the page; 0 or less in the count-in."""

    beat: float = 0.0
    """Beat in the bar, from 1, in the metre's written unit; 0 for no beat."""


@dataclass(frozen=True, slots=True)
class ClickTrack:
    """Everything that will sound in one run, in order of `due`."""

    clicks: tuple[Click, ...]
    """All sounds."""

    starts: Seconds
    """When the first count-in click is due: 0 or less."""

    ends: Seconds
    """When the run is over."""

    clocks: tuple[Seconds, ...] = ()
    """When a MIDI timing clock is due; empty when none is asked for."""

    song_position: int = 0
    """Where other gear should start, in sixteenths from the top of the page."""

    clock_starts: Seconds = Seconds(0.0)
    """The clock on which other gear starts from `song_position`."""

    programs: tuple[tuple[int, int], ...] = ()
    """(channel, program), both from 0, to be chosen before the first sound."""

    @property
    def is_take(self) -> bool:
        """Whether it plays nothing but a take, which sounds through no MIDI port."""
        return any(click.kind is SoundKind.TAKE for click in self.clicks[:1])


def lay_take(starts: Seconds, ends: Seconds) -> ClickTrack:
    """Lay out a track that plays a take, so that run time is that of the run."""
    take = Click(starts, Seconds(ends - starts), SoundKind.TAKE, 0, 0, LOUDEST)
    return ClickTrack((take,), starts, ends)
