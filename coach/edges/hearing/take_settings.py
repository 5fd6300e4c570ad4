"""What becomes of the sound of a run: settings, which load nothing."""

from __future__ import annotations

from dataclasses import dataclass

from coach.config import read_settings


@dataclass(frozen=True, slots=True)
class TakeSettings:
    """What becomes of takes: ``[takes]`` in ``config/recordings.toml``."""

    listens: bool
    """Runs are heard unless the player says otherwise."""

    keeps: bool
    """Each take is kept as a file."""

    tail_s: float
    """How long a take goes on after the last note."""

    patience_s: float
    """How long the end of a take is waited for."""

    nearest_s: float
    """A stamp nearer than this to the time that is heard is run time."""


def read_take_settings() -> TakeSettings:
    """Read what becomes of the sound of a run."""
    return read_settings(TakeSettings, "recordings", "takes")
