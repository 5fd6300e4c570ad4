"""A take as it is made: blocks of sound put together, what is missing filled in."""

from __future__ import annotations

from statistics import median

import numpy as np
from numpy.typing import NDArray

from coach.rehearsal.gear.gear import SoundHeard
from coach.rehearsal.hearing.take import Sounding, Take, TakenClick
from coach.score.tempo import Seconds


class TakeMaker:
    """Takes blocks of one microphone, of one rate."""

    def __init__(self) -> None:
        self._parts: list[NDArray[np.float32]] = []
        self._begins: list[float] = []
        self._count = 0
        self._rate_hz = 0.0
        self._is_timed = True

    def add(self, block: SoundHeard) -> NDArray[np.float32]:
        """Add a block; give the samples that came with it, silence for a gap."""
        self._rate_hz = block.rate_hz
        self._is_timed = self._is_timed and block.is_timed
        samples = samples_of(block)
        if block.has_gap and self._begins:
            due = self._begins[-1] + self._count / block.rate_hz
            missing = max(0, round((block.at - due) * block.rate_hz))
            samples = np.concatenate([np.zeros(missing, dtype="<f4"), samples])
        before = self._count + len(samples) - len(block.samples) // 4
        self._begins.append(block.at - before / block.rate_hz)
        self._parts.append(samples)
        self._count += len(samples)
        return samples

    @property
    def stamped(self) -> Seconds:
        """Run time of the first sample: the middle of what all stamps say."""
        return Seconds(median(self._begins))

    def take(self, clicks: tuple[TakenClick, ...]) -> Take | None:
        """Give the take as far as it has come; None where there is nothing.

        Its beginning is the middle of what all stamps say; where the way of the
        sound through the gear was not measured, it is not known.
        """
        if not self._parts:
            return None
        began = self.stamped if self._is_timed else None
        sound = np.concatenate(self._parts)
        return Take(sound, self._rate_hz, Sounding(began, clicks))


def samples_of(block: SoundHeard) -> NDArray[np.float32]:
    """Give the samples of a block."""
    return np.frombuffer(block.samples, dtype="<f4")
