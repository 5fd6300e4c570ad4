"""Numbers of the screens, from ``config/screens.toml``."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from coach.config import read_settings


@dataclass(frozen=True, slots=True)
class RunLook:
    """How the run is drawn."""

    frame_s: float
    """Time between two pictures while a run plays."""


@cache
def run_look() -> RunLook:
    """Give how the run is drawn."""
    return read_settings(RunLook, "screens", "run")
