"""The air of winds that are no brass: their own flow, and air that gets stale.

An oboe takes so little that its player's air is stale before it is used up.  What
counts then is the time since the breath: air that still serves is laid out so that a
full breath of it lasts for that time at most, whatever is blown.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from coach.errors import ConfigError
from coach.score.note import hertz_of

if TYPE_CHECKING:
    from coach.planning.air.air_settings import AirSettings

BRASS = "brass"
"""The family whose law ``config/air.toml`` is."""


@dataclass(frozen=True, slots=True)
class WindAir:
    """How one family of winds differs from brass: a table of ``config/winds.toml``."""

    reference_midi: int
    """Sounding key of the tone that the flow is given for."""

    flow_mf_lps: float
    """Its flow at mezzo-forte, in litres per second."""

    pitch_power: float
    """Flow falls with frequency to this power."""

    loud_step_factor: float
    """Flow grows by this factor with each step of dynamics; greater than 1."""

    floor_lps: float
    """No note takes less than this, in litres per second."""

    release_s: float
    """Time before the air flows in: letting go, opening, breathing out, in seconds."""

    stale_after_s: float
    """The air of a full breath serves no longer, in seconds; 0 where it is used up
    first."""

    def __post_init__(self) -> None:
        """Refuse air that would serve for less than no time."""
        if self.stale_after_s < 0.0 or self.flow_mf_lps <= 0.0:
            raise ConfigError(
                "The settings for winds do not work: no time may be below 0, and "
                "every wind takes some air.",
                "Mend [winds] in your player file.",
            )


def air_of_wind(brass: AirSettings, wind: WindAir, capacity_l: float) -> AirSettings:
    """Give the air model of a family of winds.

    Parameters
    ----------
    capacity_l : float
        The player's, in litres: stale air is a matter of time, not of litres.

    Returns
    -------
    AirSettings
        Its flow at F3 is what the family's law would give there, played or not.
    """
    above_f3 = hertz_of(wind.reference_midi) / brass.reference_hz
    floor_lps = wind.floor_lps
    if wind.stale_after_s:
        served_l = (brass.full_share - brass.empty_share) * capacity_l
        floor_lps = max(floor_lps, served_l / wind.stale_after_s)
    return replace(
        brass,
        flow_f3_mf_lps=wind.flow_mf_lps * above_f3**wind.pitch_power,
        pitch_power=wind.pitch_power,
        loud_step_factor=wind.loud_step_factor,
        floor_lps=floor_lps,
        release_s=wind.release_s,
    )
