"""A microphone: blocks of sound with the time they were in the air.

The device's callback only copies; what is heard is put together and measured when the
engine asks for it.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from typing import Any

import numpy as np

from coach.config import read_settings
from coach.edges.sound.calibration_file import gear_pair, read_round_trip
from coach.edges.sound.microphone_settings import (
    MicrophoneSettings,
    read_microphone_settings,
)
from coach.edges.sound.sample_clock import ClockSettings, SampleClock
from coach.edges.sound.sound_devices import SoundDevice, choose_another, find_device
from coach.edges.sound.sound_streams import (
    StreamWatch,
    close_stream,
    look_for_devices,
    open_stream,
)
from coach.edges.sound.voices import Samples
from coach.errors import GearError
from coach.rehearsal.gear.gear import Clock, Fact, GearLost, LevelHeard, SoundHeard
from coach.rehearsal.gear.gear_choice import GearChoice
from coach.score.tempo import Seconds

FARTHEST_S = 5.0
"""A driver's stamp farther off than this is none."""

BLOCKS_KEPT = 256
"""Blocks that wait for the engine at most; older ones are dropped, and said to be."""

DECIBELS = 20.0


@dataclass(frozen=True, slots=True)
class _Block:
    """What one callback brought."""

    first: int
    samples: Samples
    has_gap: bool

    @property
    def next(self) -> int:
        """Number of the sample after its last."""
        return self.first + len(self.samples)


class Microphone:
    """A `SoundSource` on a device."""

    def __init__(
        self,
        device: SoundDevice,
        settings: MicrophoneSettings,
        clock: Clock,
    ) -> None:
        """Begin to listen."""
        self.name = device.name
        self.round_trip: Seconds | None = None
        """What is taken off every time: how late clicks are heard; None: unknown."""
        self._settings = settings
        following = read_settings(ClockSettings, "sound", "clock")
        self._samples = SampleClock(following, settings.rate_hz, settings.block_samples)
        self._blocks: deque[_Block] = deque(maxlen=BLOCKS_KEPT)
        self._waiting: list[_Block] = []
        self._first = 0
        self._next: int | None = None
        self._watch = StreamWatch(clock, settings.lost_after_s)
        self._settled = threading.Event()
        self._stream = self._open(device)
        self._settle()

    def facts(self) -> Sequence[Fact]:
        """Hand over what was heard since the last call."""
        told: list[Fact] = []
        with suppress(IndexError):
            while True:
                block = self._blocks.popleft()
                if self._waiting and block.first != self._waiting[-1].next:
                    told += self._tell()  # what was dropped lies between two facts
                self._waiting.append(block)
                if self._count_waiting() >= self._settings.tell_samples:
                    told += self._tell()
        if self._watch.is_gone():
            gone = f"The microphone “{self.name}” brings no sound."
            told.append(GearLost(gone, is_microphone=True))
        return told

    @property
    def latency(self) -> Seconds:
        """Time from a sample's being in the air to our getting it."""
        return Seconds(-self._samples.distance)

    def hear_from(self, output: str, latency: Seconds) -> None:
        """Take off what was measured with this sound device or MIDI port.

        Drivers' stamps differ by milliseconds from one start to the next, so the
        whole round trip was kept, and what they own up to now is subtracted.
        """
        whole = read_round_trip(gear_pair(output, self.name, self._settings))
        self.round_trip = (
            None if whole is None else Seconds(whole - latency - self.latency)
        )

    def close(self) -> None:
        """Let the device go."""
        close_stream(self._stream)

    def _open(self, device: SoundDevice) -> Any:
        return open_stream(
            device,
            samplerate=self._settings.rate_hz,
            blocksize=self._settings.block_samples,
            channels=1,
            latency=self._settings.latency_s,
            callback=self._take,
        )

    def _settle(self) -> None:
        """Wait until the device runs evenly; else believe what it promises."""
        if self._settled.wait(self._settings.opens_within_s):
            return
        if self._first == 0:
            self.close()
            raise GearError(
                f"The microphone “{self.name}” brings no sound.",
                choose_another("input"),
            )
        self._samples.settle(-float(self._stream.latency))

    def _take(self, heard: Any, count: int, time: Any, status: Any) -> None:
        """Keep a block, on the device's own thread."""
        called = self._watch.note_call()
        ago = time.inputBufferAdcTime - time.currentTime
        is_told = -FARTHEST_S < ago < 0
        is_torn = bool(status.input_overflow)
        self._samples.feed(
            self._first, called, ago if is_told else None, is_torn=is_torn
        )
        has_gap = not self._samples.is_sure
        self._blocks.append(_Block(self._first, heard[:, 0].copy(), has_gap))
        self._first += count
        if self._samples.is_settled and not self._settled.is_set():
            self._settled.set()

    def _count_waiting(self) -> int:
        return sum(len(block.samples) for block in self._waiting)

    def _tell(self) -> list[Fact]:
        """Put the blocks that wait together and measure them."""
        blocks, self._waiting = self._waiting, []
        first = blocks[0].first
        has_gap = self._next not in (None, first) or any(b.has_gap for b in blocks)
        self._next = blocks[-1].next
        samples = np.concatenate([block.samples for block in blocks])
        is_overloaded = bool(np.abs(samples).max() >= self._settings.full_share)
        heard = SoundHeard(
            at=Seconds(self._samples.time_of(first) - (self.round_trip or 0.0)),
            rate_hz=self._settings.rate_hz,
            samples=samples.astype("<f4").tobytes(),
            is_overloaded=is_overloaded,
            has_gap=has_gap,
            is_timed=self.round_trip is not None,
        )
        return [heard, LevelHeard(self._level(samples), is_overloaded)]

    def _level(self, samples: Samples) -> float:
        """Give the level of a block, in decibels below full scale."""
        power = float(np.mean(samples.astype(np.float64) ** 2))
        least = 10.0 ** (self._settings.softest_db / DECIBELS)
        return float(DECIBELS * np.log10(max(power**0.5, least)))


def open_microphone(choice: GearChoice, clock: Clock) -> Microphone:
    """Open the chosen microphone, or the system's own."""
    look_for_devices()
    return Microphone(
        find_device(choice.microphone, "input"), read_microphone_settings(), clock
    )
