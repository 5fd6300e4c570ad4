"""A take as it is made: blocks of sound put together, what is missing filled in."""

from __future__ import annotations

from statistics import median

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.gear.gear import SoundHeard
from coach.rehearsal.hearing.features.look_store import LookStore
from coach.rehearsal.hearing.take import Sounding, Take, TakenClick
from coach.score.tempo import Seconds


class TakeMaker:
    """Takes blocks of one microphone, of one rate."""

    def __init__(self) -> None:
        self._sound = LookStore()
        self._begins: list[float] = []
        self._rate_hz = 0.0
        self._is_timed = True

    def add(self, block: SoundHeard) -> NDArray[np.float32]:
        """Add a block; give the samples that came with it, silence for a gap."""
        self._rate_hz = block.rate_hz
        self._is_timed = self._is_timed and block.is_timed
        samples = samples_of(block)
        if block.has_gap and self._begins:
            due = self._begins[-1] + len(self._sound) / block.rate_hz
            missing = max(0, round((block.at - due) * block.rate_hz))
            samples = np.concatenate([np.zeros(missing, dtype="<f4"), samples])
        before = len(self._sound) + len(samples) - len(block.samples) // 4
        self._begins.append(block.at - before / block.rate_hz)
        self._sound.add([samples])
        return samples

    @property
    def stamped(self) -> Seconds:
        """Run time of the first sample: the middle of what all stamps say."""
        return Seconds(median(self._begins))

    def take(self, clicks: tuple[TakenClick, ...]) -> Take | None:
        """Give the take, and hold it no longer; None where there is nothing.

        Its beginning is the middle of what all stamps say; where the way of the
        sound through the gear was not measured, it is not known.
        """
        if not len(self._sound):
            return None
        began = self.stamped if self._is_timed else None
        (sound,) = self._sound.take(len(self._sound))
        return Take(sound, self._rate_hz, Sounding(began, clicks))


def samples_of(block: SoundHeard) -> NDArray[np.float32]:
    """Give the samples of a block."""
    return np.frombuffer(block.samples, dtype="<f4")
