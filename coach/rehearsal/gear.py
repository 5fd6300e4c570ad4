"""What a run needs from the outside, as protocols; and a clock to test with.

Run time is in seconds from the first beat of the run; the count-in lies before it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal, Protocol

from coach.rehearsal.clicks import ClickTrack
from coach.score.tempo import Seconds

PedalAction = Literal["start-stop", "again", "mark", "breathed"]


class Clock(Protocol):
    """A clock that never jumps, and the only thing that waits."""

    def now(self) -> Seconds:
        """Tell the time, from any fixed moment."""
        ...

    def wait_until(self, time: Seconds) -> None:
        """Come back at `time`, or at once if it has passed."""
        ...


class ManualClock:
    """A clock that stands still until it is told to move.

    Waiting moves it, so that a whole run plays through in an instant.
    """

    def __init__(self, start: Seconds = Seconds(0.0)) -> None:
        self._now = start

    def now(self) -> Seconds:
        """Tell the time it was moved to."""
        return self._now

    def wait_until(self, time: Seconds) -> None:
        """Move on to `time`; never back."""
        self._now = max(self._now, time)


@dataclass(frozen=True, slots=True)
class ClickSent:
    """A sound went out."""

    due: Seconds
    """When it should have, in run time."""

    sent: Seconds
    """When it did, in run time."""


@dataclass(frozen=True, slots=True)
class PedalPressed:
    """A pedal or a learned key was pressed."""

    at: Seconds
    """When, in run time (or in the clock's own time when no run plays)."""

    action: PedalAction
    """What it is learned to mean."""


@dataclass(frozen=True, slots=True)
class NoteHeard:
    """A note came in from a wind controller or the microphone."""

    at: Seconds
    """When it began, in run time."""

    key: int
    """Sounding MIDI key number."""


@dataclass(frozen=True, slots=True)
class LevelHeard:
    """How loud the microphone hears the room."""

    level_db: float
    """Level below full scale, in decibels."""

    is_overloaded: bool
    """Samples stood at full scale."""


@dataclass(frozen=True, slots=True)
class GearLost:
    """A port, sound device or the engine went away, or came back."""

    message: str
    """What and what now, in the player's words."""

    is_back: bool = False
    """It came back."""


@dataclass(frozen=True, slots=True)
class TrackEnded:
    """The track is over."""

    at: Seconds
    """When, in run time."""

    worst_late: Seconds
    """The greatest lateness of any sound."""

    sent: int
    """How many sounds went out."""


Fact = ClickSent | PedalPressed | NoteHeard | LevelHeard | GearLost | TrackEnded


class ClickPlayer(Protocol):
    """Plays tracks: the engine process, or a fake in a test."""

    @property
    def says(self) -> str:
        """How the click sounds, in one line: port, built-in sound or silent."""
        ...

    def listen(self, tell: Callable[[Fact], None]) -> None:
        """Hand every fact to `tell` from now on, from any thread."""
        ...

    def play(self, track: ClickTrack) -> None:
        """Start a track as soon as it can sound without haste; ends any other."""
        ...

    def change(self, track: ClickTrack) -> None:
        """Go on with another track from here: same run time, what is past is past."""
        ...

    def stop(self) -> None:
        """End all sound at once."""
        ...

    def run_time(self) -> Seconds | None:
        """Tell the run time that is *heard* now; None when nothing plays."""
        ...

    def close(self) -> None:
        """End all sound and let the gear go."""
        ...
