"""How far a recording is read: the limits, which load nothing."""

from __future__ import annotations

from dataclasses import dataclass

from coach.config import read_settings


@dataclass(frozen=True, slots=True)
class RecordingLimits:
    """What is refused, as ``[reading]`` in ``config/recordings.toml`` has it."""

    longest_s: float
    """A recording is no longer."""

    shortest_s: float
    """A recording is at least this long."""

    lowest_rate_hz: float
    """Samples a second at least."""

    channels_count: int
    """Channels at most."""

    block_s: float
    """How much is read at a time; after each block the progress is told."""

    memory_bytes: int
    """The hearing process uses no more."""

    gives_way_steps: int
    """How far the hearing process stands behind other programs."""

    quiet_s: float
    """A process that says nothing for this long hangs."""


def read_recording_limits() -> RecordingLimits:
    """Read how far a recording is read."""
    return read_settings(RecordingLimits, "recordings", "reading")
