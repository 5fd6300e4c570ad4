"""How the moment of a note is told more finely than from look to look: the numbers."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class TurnSettings:
    """When one note's sound gives way to the next one's, as ``[turn]`` has it."""

    reach_s: float
    """Looks so far before and after a note are held against what it sounds like."""

    early_s: float
    """A note comes at most so long before its look."""

    from_share: float
    """From this share of its length ..."""

    to_share: float
    """... to this a note sounds like itself ..."""

    least_s: float
    """... and of a shorter one than this what follows it, too."""

    come_share: float
    """A note has come where it sounds at this share of what it will ..."""

    there_share: float
    """... and is there, for sure, at this."""


@dataclass(frozen=True, slots=True)
class RefineSettings:
    """Moments finer than a look, as ``[refine]`` has it."""

    window_s: float
    """Window over which the power is smoothed."""

    step_s: float
    """From one moment of it to the next."""

    ring_factor: float
    """Power of the room's ring against that of what comes straight from the horn."""

    first_ring_s: float
    """So long after the horn the ring begins ..."""

    longest_ring_s: float
    """... and it is over by then."""

    before_s: float
    """A dip lies at most so long before the look of a note ..."""

    after_s: float
    """... or after it."""

    height_after_s: float
    """By then the note has come to its height."""

    rise_bias_s: float
    """How late the rise out of a dip is told."""

    repeat_rise_share: float
    """How much the rise counts for a repeated note."""

    repeat_flux_share: float
    """How much the middle of all that is new counts for it; the rest is the look."""

    flux_reach_s: float
    """What is new within this of the look counts."""

    repeat_bias_s: float
    """How late all three together tell it."""

    cross_reach_s: float
    """Pitches change within this of the look."""

    cross_bias_s: float
    """How early a change of pitch is told where the tongue made a deep dip."""

    ring_late_db: float
    """A beginning seems late by the time in which the room rings off so far."""

    early_s: float
    """How early it would be told in a room that does not ring."""

    usual_ring_db_per_s: float
    """How fast a room rings off, where no gap tells."""

    deep_db: float
    """A dip so deep is the tongue's."""

    agree_s: float
    """Rise and change of pitch agree within this; otherwise the change counts."""

    turn_share: float
    """How much the turn of the whole sound counts beside them ..."""

    turn_agree_s: float
    """... where it agrees with them within this."""

    turn_bias_s: float
    """How late it tells a note."""

    joined_s: float
    """Notes are joined whose gap is no longer."""

    apart_s: float
    """No two notes begin within this."""
