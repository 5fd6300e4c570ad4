"""Where sound plugs into the engine: what a sound output and a microphone must do.

``coach.edges.sound.sound_output.open_sound(choice, clock)`` gives a `SoundSink`,
``coach.edges.sound.microphone.open_microphone(choice, clock)`` a `SoundSource`; both
raise `GearError` with one sentence when there is none.  The engine calls them from its
gear thread (they may take their time), and all methods but `close` from its main thread
(they must not: no waiting, no device calls that take longer than a millisecond).

Times called ``monotonic`` are those of `SystemClock`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from coach.rehearsal.click.clicks import ClickTrack
from coach.rehearsal.gear.gear import Fact, SoundHeard
from coach.score.tempo import Seconds


class SoundSink(Protocol):
    """A device that makes the sounds of a track itself, by sample."""

    @property
    def name(self) -> str:
        """Name of the device."""
        ...

    @property
    def latency(self) -> Seconds:
        """Time from a sample's being made to its being heard, as the driver says."""
        ...

    @property
    def slip(self) -> Seconds:
        """How far run time 0 has moved with the device's clock since `play`.

        No device's clock runs as ours; the distances between clicks are the device's,
        and what is shown and sent goes with it.
        """
        ...

    @property
    def dropped(self) -> int:
        """How often the device dropped sound, as it says or as its time shows."""
        ...

    @property
    def lead(self) -> Seconds:
        """How long before its first sound a track must be known."""
        ...

    def hold_take(self, blocks: Sequence[SoundHeard]) -> None:
        """Have a take ready, block after block, for the track that plays it."""
        ...

    def play(self, track: ClickTrack, origin: Seconds) -> None:
        """Sound a track so that run time 0 is *heard* at the monotonic time `origin`.

        What is past by then is left out; so a track can be joined in the middle.
        A track that plays already is ended.
        """
        ...

    def change(self, track: ClickTrack) -> None:
        """Go on with another track at the same origin."""
        ...

    def stop(self) -> None:
        """Fall silent with the next block."""
        ...

    def facts(self) -> Sequence[Fact]:
        """Hand over what happened since the last call, soon after it happened.

        `ClickSent` in run time for each click whose first sample went to the device,
        with `sent` from the device's own time converted to the monotonic clock; and
        `GearLost` when the device is gone for good.
        """
        ...

    def close(self) -> None:
        """Let the device go."""
        ...


class SoundSource(Protocol):
    """A microphone."""

    @property
    def name(self) -> str:
        """Name of the device."""
        ...

    @property
    def round_trip(self) -> Seconds | None:
        """What is taken off every time, as measured; None if it was not."""
        ...

    @property
    def latency(self) -> Seconds:
        """Time from a sample's being in the air to our getting it, by its driver."""
        ...

    def hear_from(self, output: str, latency: Seconds) -> None:
        """Take off what was measured with this sound device or MIDI port.

        `latency` is what that device's driver says; 0 for a port.
        """
        ...

    def facts(self) -> Sequence[Fact]:
        """Hand over what was heard since the last call.

        `SoundHeard`, `NoteHeard` and `LevelHeard` with `at` in monotonic time (the
        engine turns it into run time), and `GearLost` when the device is gone.
        """
        ...

    def close(self) -> None:
        """Let the device go."""
        ...
