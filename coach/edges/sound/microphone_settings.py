"""How sound comes in: the settings of a microphone, which load nothing."""

from __future__ import annotations

from dataclasses import dataclass

from coach.config import read_settings


@dataclass(frozen=True, slots=True)
class MicrophoneSettings:
    """How sound comes in, as ``[microphone]`` in ``config/sound.toml`` has it."""

    rate_hz: float
    """Samples a second."""

    block_samples: int
    """Samples taken at a time."""

    latency_s: float
    """What is asked of the driver."""

    tell_samples: int
    """Samples handed on at a time."""

    full_share: float
    """A sample that reaches this is at full scale: the room is too loud."""

    opens_within_s: float
    """How long a device may take until it runs evenly."""

    lost_after_s: float
    """A device that brings no sound for so long is gone."""

    softest_db: float
    """Level of silence."""


def read_microphone_settings() -> MicrophoneSettings:
    """Read how sound comes in."""
    return read_settings(MicrophoneSettings, "sound", "microphone")
