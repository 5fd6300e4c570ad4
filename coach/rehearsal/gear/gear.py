"""What a run needs from the outside, as protocols; and a clock to test with.

Run time is in seconds from the first beat of the run; the count-in lies before it.

Long, since every fact that gear tells stands in one list.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, Protocol

from coach.rehearsal.hearing.following.told import RunTold, StartHeard
from coach.score.tempo import Seconds

if TYPE_CHECKING:
    from coach.rehearsal.click.clicks import ClickTrack
    from coach.rehearsal.hearing.heard import Heard, Refused

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
    """A clock that stands still until it is told to move: waiting moves it at once."""

    def __init__(self, start: Seconds = Seconds(0.0)) -> None:
        self._now = start

    def now(self) -> Seconds:
        """Tell the time it was moved to."""
        return self._now

    def wait_until(self, time: Seconds) -> None:
        """Move on to `time`; never back."""
        self._now = max(self._now, time)


class ClickPort(Protocol):
    """Where MIDI messages go out."""

    @property
    def name(self) -> str:
        """What the port is called."""
        ...

    def send(self, message: bytes) -> None:
        """Send one complete message at once."""
        ...


@dataclass(frozen=True, slots=True)
class ClickSent:
    """The moment of a click of the track came."""

    due: Seconds
    """When it should have, in run time."""

    sent: Seconds
    """When it did, in run time."""

    is_heard: bool = True
    """It went out to gear; False for one that is shown only, or has no gear."""


@dataclass(frozen=True, slots=True)
class PedalPressed:
    """A pedal or a learned key was pressed."""

    at: Seconds
    """When, in run time (or in the clock's own time when no run plays)."""

    action: PedalAction
    """What it is learned to mean."""


@dataclass(frozen=True, slots=True)
class PedalLearned:
    """The message that was waited for came: it now stands for an action."""

    action: PedalAction
    """What it is to mean."""

    message: str
    """What came, as ``control 64`` or ``key 36 channel 10``."""


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
class SoundHeard:
    """A block of what the microphone hears."""

    at: Seconds
    """When its first sample was in the air, in run time."""

    rate_hz: float
    """Samples a second."""

    samples: bytes
    """One channel of 32-bit floats, little end first, full scale 1."""

    is_overloaded: bool = False
    """Samples stood at full scale."""

    has_gap: bool = False
    """Sound is missing between the block before and this one."""

    is_timed: bool = False
    """What the gear adds was measured, and is taken off `at`."""


@dataclass(frozen=True, slots=True)
class RunHeard:
    """The ear has had its say on a run."""

    run_id: int
    """Number of the run in the log."""

    said: Heard | Refused | None
    """What was heard, or why nothing can be said; None where there is no take."""

    message: str = ""
    """Why there is no take, in the player's words."""

    has_take: bool = True
    """There is a sound that can be kept, played and thrown away."""


@dataclass(frozen=True, slots=True)
class TakeKept:
    """The sound of a run was kept or thrown away, or could not be."""

    message: str
    """Where it lies and how large it is, or why it is lost."""


@dataclass(frozen=True, slots=True)
class TakeSilent:
    """The sound of a run cannot be played."""

    message: str
    """Why, in the player's words."""


@dataclass(frozen=True, slots=True)
class GearLost:
    """A port, sound device or the engine went away, or came back."""

    message: str
    """What and what now, in the player's words."""

    is_back: bool = False
    """It came back."""

    is_microphone: bool = False
    """It is the microphone, or the wish for one that is not there."""


@dataclass(frozen=True, slots=True)
class SoundFound:
    """How the click sounds is known now, or has changed."""

    says: str
    """How, as `ClickPlayer.says` tells it."""


@dataclass(frozen=True, slots=True)
class ClickAwaited:
    """A track waits for its click to be ready, or waits no more."""

    message: str
    """What is waited for, in the player's words; empty when it has come."""


@dataclass(frozen=True, slots=True)
class TrackEnded:
    """The track has been played to its end; a stop before it is not told."""

    at: Seconds
    """When, in run time."""

    worst_late: Seconds
    """The greatest lateness of any sound."""

    sent: int
    """How many sounds went out to gear."""


@dataclass(frozen=True, slots=True)
class GearReport:
    """What gear there is and how it is used."""

    midi_outs: tuple[str, ...]
    """Names of the ports that a click could go to."""

    midi_ins: tuple[str, ...]
    """Names of the ports that a pedal or wind controller could come from."""

    midi_out: str
    """The port that is open; empty for none."""

    listened: tuple[str, ...]
    """The ports that are listened to."""

    sound: str
    """The sound device that is open; empty for none."""

    latency: Seconds
    """From the engine to the loudspeaker, as far as its driver knows."""

    scheduling: str
    """How the engine is put before other programs."""

    remarks: tuple[str, ...] = ()
    """What is missing, and the one thing that mends it."""

    sound_outs: tuple[str, ...] = ()
    """Names of the devices that sound could go to, the system's own choice first."""

    microphones: tuple[str, ...] = ()
    """Names of the microphones, the system's own choice first."""

    microphone: str = ""
    """The microphone that is open; empty for none."""

    microphone_latency: Seconds = Seconds(0.0)
    """From the air to the engine, as far as its driver knows."""

    round_trip: Seconds | None = None
    """How much later clicks are heard than the drivers know, as measured; None if
    it was not; it is taken off what the microphone hears."""

    dropped: int = 0
    """How often the sound device dropped sound, as it says or as its time shows."""


Fact = (
    ClickSent
    | PedalPressed
    | PedalLearned
    | NoteHeard
    | LevelHeard
    | SoundHeard
    | RunHeard
    | RunTold
    | StartHeard
    | TakeKept
    | TakeSilent
    | GearLost
    | SoundFound
    | ClickAwaited
    | TrackEnded
    | GearReport
)


SILENT = "silent"
"""What is said of a click that nobody can hear begins with this word."""


class ClickPlayer(Protocol):
    """Plays tracks: the engine process, or a fake in a test."""

    @property
    def says(self) -> str:
        """How the click sounds, in one line: port, built-in sound or silent.

        Where nothing sounds it begins with `SILENT`.
        """
        ...

    def listen(self, tell: Callable[[Fact], None]) -> None:
        """Hand every fact to `tell` from now on, from any thread."""
        ...

    def play(self, track: ClickTrack) -> None:
        """Start a track as soon as it can sound without haste; ends any other.

        While it waits for its click, `ClickAwaited` is told, and the run time stands
        before the track's start.
        """
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
