"""A take played back: recorded samples of any rate as a sound of the mix."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coach.config import read_settings
from coach.rehearsal.gear.gear import SoundHeard

FADE_IN_S = 0.005
"""A take that begins in the middle of a note begins without a click: our own choice."""


@dataclass(frozen=True, slots=True)
class TakeLevel:
    """How loud a take is played, as ``[take]`` in ``config/sound.toml`` has it."""

    level_share: float
    """How loud its loudest sample is, of a full stroke."""

    most_gain_share: float
    """It is made louder by this factor at most: a room's noise is not a horn."""


@dataclass(frozen=True, slots=True)
class TakeToPlay:
    """The samples of a take, ready to be played."""

    samples: NDArray[np.float32]
    """One channel, as loud as it is to sound."""

    rate_hz: float
    """Samples a second."""


NOTHING = TakeToPlay(np.zeros(0, dtype=np.float32), 1.0)


def hold_take(blocks: Sequence[SoundHeard]) -> TakeToPlay:
    """Put the blocks of a take together, and bring it to its level."""
    if not blocks:
        return NOTHING
    level = read_settings(TakeLevel, "sound", "take")
    samples = np.frombuffer(b"".join(block.samples for block in blocks), dtype="<f4")
    loudest = float(np.abs(samples).max(initial=0.0))
    gain = min(level.most_gain_share, level.level_share / max(loudest, 1e-9))
    return TakeToPlay((samples * gain).astype(np.float32), blocks[0].rate_hz)


class TakenSound:
    """A `Sound`: a take that sounds from one sample on, which may be past."""

    def __init__(self, take: TakeToPlay, rate_hz: float, starts: int) -> None:
        self._take = take
        self._step = take.rate_hz / rate_hz
        self._fade = FADE_IN_S * rate_hz
        self._starts = starts

    def add_to(self, block: NDArray[np.float32], first: int) -> bool:
        """Add what falls into this block, between two samples on a straight line."""
        samples = self._take.samples
        age = np.arange(len(block)) + float(first - self._starts)
        place = age * self._step
        is_inside = (age >= 0.0) & (place <= len(samples) - 1)
        if is_inside.any():
            place = place[is_inside]
            whole = np.minimum(place.astype(np.intp), max(0, len(samples) - 2))
            after = np.minimum(whole + 1, len(samples) - 1)
            between = (place - whole).astype(np.float32)
            wave = samples[whole] * (1.0 - between) + samples[after] * between
            rise = np.clip(age[is_inside] / self._fade, 0.0, 1.0)
            block[is_inside] += (wave * rise).astype(np.float32)
        return first + len(block) - self._starts < len(samples) / self._step
