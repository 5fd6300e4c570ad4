"""How finely the ear looks at a sound: ``[features]`` in ``config/hearing.toml``."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class FeatureSettings:
    """Windows, rates and the comb of partials."""

    rate_hz: float
    """Rate that a take is brought down to, as nearly as whole steps allow."""

    filter_taps_factor: int
    """Half length of the filter against aliasing, in samples of the low rate."""

    hop_s: float
    """From one look to the next."""

    long_window_s: float
    """Window for low pitches."""

    short_window_s: float
    """Window for high pitches."""

    long_below_midi: float
    """Pitch at which both windows count alike."""

    long_slope_semitones: float
    """How far from there one of them all but counts alone."""

    step_cents: float
    """From one pitch that is looked for to the next; divides a semitone."""

    beyond_semitones: int
    """How far beyond the page's lowest and highest pitch the ear looks."""

    partials_count: int
    """Most partials of a pitch that count."""

    highest_hz: float
    """Partials above this do not count ..."""

    least_partials_count: int
    """... beyond these first ones."""

    ring_late_s: float
    """The room's ring is judged by what sounded so long before and earlier ..."""

    ring_fall_s: float
    """... in which time it counts for a third of that."""

    ring_share: float
    """Share of that power which is taken off."""

    ring_warm_s: float
    """So long before a look the ring is followed, where looks are taken again."""

    level_window_s: float
    """Window of the level."""

    flux_window_s: float
    """Window of the beginnings."""

    flux_lag_s: float
    """A beginning is told against the sound so long before."""

    bright_from_hz: float
    """Upper sound lies above this."""

    batch_frames: int
    """Looks that are worked out at once."""
