"""Which sounds a click track is made of, as ``config/click.toml`` has them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ClickSettings:
    """The keys of ``[track]`` in ``config/click.toml``."""

    click_channel: int
    """Channel of all percussion, from 0."""

    accent_key: int
    """First beat of a bar."""

    accent_velocity: int
    """How hard it is struck."""

    beat_key: int
    """All other beats."""

    beat_velocity: int
    """How hard a beat is struck."""

    group_velocity: int
    """How hard a beat is struck that begins a group inside the bar."""

    subdivision_key: int
    """What divides a beat."""

    subdivision_velocity: int
    """How hard it is struck."""

    cue_key: int
    """The sound that tells to breathe."""

    cue_velocity: int
    """How hard it is struck."""

    cue_before_s: float
    """How long before the breath it sounds."""

    click_length_s: float
    """How long a percussion key is held."""

    guide_channel: int
    """Channel of the guide notes, from 0."""

    guide_program_midi: int
    """General MIDI program of the guide notes, from 0."""

    guide_velocity: int
    """Velocity of a guide note in mezzo-forte."""

    guide_step_velocity: int
    """How much a step of dynamic adds."""

    drone_channel: int
    """Channel of the drone, from 0."""

    drone_program_midi: int
    """General MIDI program of the drone, from 0."""

    drone_velocity: int
    """Velocity of the drone."""

    drone_low_key: int
    """Lowest key of the drone."""

    fade_bars: int
    """In how many bars a fading click is gone."""

    fade_return_bars: int
    """For how many bars at the end it is back, to check against."""
