"""The built-in sound: a track's clicks made by our own voices, placed by sample.

The device's callback makes each block from sample numbers alone, so that the distance
between two clicks is exact.  When the device drops sound, or its clock parts from the
machine's, run time 0 is moved to where it is now, and the next click is in place again.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

from coach.config import read_settings
from coach.edges.sound.sample_clock import ClockSettings, SampleClock
from coach.edges.sound.sound_devices import SoundDevice, choose_another, find_device
from coach.edges.sound.sound_mix import MixSettings, PlacedTrack, SoundMix, place_track
from coach.edges.sound.sound_streams import (
    StreamWatch,
    close_stream,
    look_for_devices,
    open_stream,
)
from coach.edges.sound.taken_sound import hold_take
from coach.edges.sound.voices import Voices, read_voices
from coach.errors import GearError
from coach.rehearsal.click.clicks import Click, ClickTrack
from coach.rehearsal.gear.gear import ClickSent, Clock, Fact, GearLost, SoundHeard
from coach.rehearsal.gear.gear_choice import GearChoice
from coach.score.tempo import Seconds

FARTHEST_S = 5.0
"""A driver's stamp farther off than this is none."""


@dataclass(frozen=True, slots=True)
class OutputSettings:
    """How sound goes out, as ``[output]`` in ``config/sound.toml`` has it."""

    rate_hz: float
    """Samples a second."""

    block_samples: int
    """Samples made at a time."""

    latency_s: float
    """What is asked of the driver."""

    channels_count: int
    """How many loudspeakers get the same sound, if the device has them."""

    volume_share: float
    """How loud the loudest stroke is, of full scale."""

    knee_share: float
    """What is louder than this is held down."""

    ceiling_share: float
    """Nothing is louder than this."""

    fade_s: float
    """In what time all sound ends at a stop."""

    skip_late_s: float
    """A sound later than this is left out."""

    clock_parts_s: float
    """What the device's time moves by at once without any sound dropped, at most."""

    slack_s: float
    """How much earlier than its latency a device asks for sound, at most."""

    opens_within_s: float
    """How long a device may take until it runs evenly."""

    lost_after_s: float
    """A device that asks for no sound for so long is gone."""


class ClickSound:
    """A `SoundSink` on a device."""

    def __init__(
        self,
        device: SoundDevice,
        settings: OutputSettings,
        voices: Voices,
        clock: Clock,
    ) -> None:
        """Begin to run; silent until a track is played."""
        self.name = device.name
        self._clock = clock
        self._settings = settings
        self._rate_hz = settings.rate_hz
        following = read_settings(ClockSettings, "sound", "clock")
        self._samples = SampleClock(following, self._rate_hz, settings.block_samples)
        self._wishes: deque[Callable[[], None]] = deque()
        self._facts: deque[Fact] = deque()
        self._mix = SoundMix(
            voices, _mix_settings(settings), self._rate_hz, self._note_click
        )
        self._origin = self._device_zero = Seconds(0.0)
        self.slip = Seconds(0.0)
        """How far run time 0 has moved with the device's clock since `play`."""
        self._first = 0
        self._watch = StreamWatch(clock, settings.lost_after_s)
        self._settled = threading.Event()
        self._times_torn = self._times_moved = 0
        self._is_torn = False
        self._stream = self._open(device)
        self._settle()

    @property
    def latency(self) -> Seconds:
        """Time from a sample's being made to its being heard."""
        return self._samples.distance

    @property
    def lead(self) -> Seconds:
        """How long before its first sound a track must be known."""
        return Seconds(self._samples.distance + self._settings.slack_s)

    @property
    def dropped(self) -> int:
        """How often the device dropped sound, as it says or as its time shows."""
        return max(self._times_torn, self._times_moved)

    def hold_take(self, blocks: Sequence[SoundHeard]) -> None:
        """Have a take ready for the track that plays it."""
        take = hold_take(blocks)
        self._wishes.append(lambda: self._mix.hold_take(take))

    def play(self, track: ClickTrack, origin: Seconds) -> None:
        """Sound a track so that run time 0 is heard at `origin`."""
        placed = place_track(track, self._rate_hz)
        self.slip = Seconds(0.0)
        self._wishes.append(lambda: self._play(placed, origin))

    def change(self, track: ClickTrack) -> None:
        """Go on with another track at the same origin."""
        placed = place_track(track, self._rate_hz)
        self._wishes.append(lambda: self._mix.change(placed, self._first))

    def stop(self) -> None:
        """Fall silent with the next block."""
        self._wishes.append(self._mix.stop)

    def facts(self) -> Sequence[Fact]:
        """Hand over what happened since the last call."""
        if self._watch.is_gone():
            self._facts.append(GearLost(f"The sound device “{self.name}” is gone."))
        told: list[Fact] = []
        with suppress(IndexError):
            while True:
                told.append(self._facts.popleft())
        return told

    def close(self) -> None:
        """Let the device go."""
        close_stream(self._stream)

    def _open(self, device: SoundDevice) -> Any:
        return open_stream(
            device,
            samplerate=self._rate_hz,
            blocksize=self._settings.block_samples,
            channels=min(self._settings.channels_count, device.channels),
            latency=self._settings.latency_s,
            callback=self._fill,
        )

    def _settle(self) -> None:
        """Wait until the device runs evenly; else believe what it promises."""
        if self._settled.wait(self._settings.opens_within_s):
            return
        if self._first == 0:
            self.close()
            raise GearError(
                f"The sound device “{self.name}” takes no sound.",
                choose_another("output"),
            )
        self._samples.settle(float(self._stream.latency))

    def _fill(self, out: Any, count: int, time: Any, status: Any) -> None:
        """Make the next block, on the device's own thread."""
        called = self._watch.note_call()
        was_torn, self._is_torn = self._is_torn, bool(status.output_underflow)
        self._times_torn += self._is_torn and not was_torn
        ahead = time.outputBufferDacTime - time.currentTime
        self._samples.feed(
            self._first,
            called,
            ahead if 0 < ahead < FARTHEST_S else None,
            is_torn=self._is_torn,
        )
        if self._samples.is_settled and not self._settled.is_set():
            self._settled.set()
        while self._wishes:
            self._wishes.popleft()()
        self._aim()
        out[:] = self._mix.fill(self._first, count)[:, None]
        self._first += count

    def _play(self, placed: PlacedTrack, origin: Seconds) -> None:
        """Start a track, on the device's own thread."""
        self._origin, self.slip = origin, Seconds(0.0)
        self._mix.play(placed, self._samples.sample_at(origin), self._first)

    def _aim(self) -> None:
        """Follow the device's time when it has moved.

        A little is its clock, which runs as it likes: run time goes with it, and no
        distance between clicks changes.  More is dropped sound, and so is what follows
        soon after: run time stays, and clicks go back to where they belong.
        """
        was, self._device_zero = self._device_zero, self._samples.time_of(0)
        self._mix.leaves_out_strokes = not self._samples.is_sure
        moved = self._device_zero - was
        if moved and self._mix.is_playing:
            is_small = abs(moved) <= self._settings.clock_parts_s
            if is_small and self._samples.is_found:
                self._origin = Seconds(self._origin + moved)
                self.slip = Seconds(self.slip + moved)
            else:
                self._times_moved += 1
                self._mix.zero = self._samples.sample_at(self._origin)

    def _note_click(self, click: Click, sample: int, is_heard: bool) -> None:
        """Take note of a click whose first sample goes to the device."""
        sent = Seconds(self._samples.time_of(sample) - self._origin)
        self._facts.append(ClickSent(click.due, sent, is_heard))


def open_sound(choice: GearChoice, clock: Clock) -> ClickSound:
    """Open the chosen sound device, or the system's own."""
    settings = read_settings(OutputSettings, "sound", "output")
    look_for_devices()
    device = find_device(choice.sound_out, "output")
    return ClickSound(device, settings, read_voices(settings.rate_hz), clock)


def _mix_settings(settings: OutputSettings) -> MixSettings:
    """Turn times into samples."""
    return MixSettings(
        volume_share=settings.volume_share,
        knee_share=settings.knee_share,
        ceiling_share=settings.ceiling_share,
        fade=max(1, round(settings.fade_s * settings.rate_hz)),
        skip_late=round(settings.skip_late_s * settings.rate_hz),
    )
