"""How the engine keeps time: read before all else that it needs is loaded."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class EngineSettings:
    """How the engine keeps time, as ``config/click.toml`` has it."""

    slice_s: float
    """Longest sleep while a track plays: a stop or a lost screen waits no longer."""

    lead_s: float
    """From the wish to play to the first sound."""

    ports_every_s: float
    """How often port names are asked for."""

    skip_late_s: float
    """A sound later than this is left out: worse than none."""

    start_before_clock_s: float
    """How long before its first clock other gear is told to start."""

    midi_within_s: float
    """How long the chosen MIDI port may take before the built-in sound stands in."""

    realtime_priority_steps: int
    """Place among real-time programs, the lowest being 1; 0 for an ordinary one."""

    raised_priority_steps: int
    """Steps of ordinary priority above the usual, where real time is refused."""
