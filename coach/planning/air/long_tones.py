"""What long tones tell of a player's flow: at mezzo-forte, and louder.

How much air a note takes differs between players by half as much again.  A long
tone from a full breath, held until nothing more comes, tells how much.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from coach.errors import ConfigError
from coach.planning.air.air import flow_lps

if TYPE_CHECKING:
    from coach.planning.air.air_settings import AirSettings
    from coach.planning.air.lungs import Player


@dataclass(frozen=True, slots=True)
class LongTone:
    """A tone held from a full breath until nothing more comes."""

    seconds: float
    """How long it lasted."""

    hertz: float
    """Its frequency."""

    loudness: float
    """Steps from mezzo-forte."""


@dataclass(frozen=True, slots=True)
class FlowFit:
    """What long tones say about a player."""

    flow_scale: float
    """Flow at mezzo-forte against the model's."""

    loud_step_factor: float
    """Flow grows by this factor with each step of dynamics."""


def fit_flow(
    tones: Sequence[LongTone], player: Player, settings: AirSettings
) -> FlowFit:
    """Tell a player's flow from one or two long tones.

    Parameters
    ----------
    tones : sequence of LongTone
        One tone sets the flow; two at different dynamics also set how much the
        flow grows with each step of dynamics.

    Returns
    -------
    FlowFit
        With it, the model runs out of each tone when the player did.

    Raises
    ------
    ConfigError
        If nobody holds a tone for so short or so long, or if two tones are too
        near in loudness, or the louder one took no more air.
    """
    flows = []
    for tone in tones:
        if not settings.shortest_tone_s <= tone.seconds <= settings.longest_tone_s:
            raise ConfigError(
                f"A long tone of {tone.seconds:g} s is not between "
                f"{settings.shortest_tone_s:g} and {settings.longest_tone_s:g} s.",
                "Breathe in fully and hold it until nothing more comes.",
            )
        flows.append(_blown_l(player, settings) / tone.seconds)
    step = settings.loud_step_factor
    if len(tones) > 1:
        step = _step_factor(tones, flows, settings)
    own = replace(settings, loud_step_factor=step)
    blown_lps = _blown_l(player, settings) / tones[0].seconds
    return FlowFit(blown_lps / flow_lps(tones[0].hertz, tones[0].loudness, own), step)


def _blown_l(player: Player, settings: AirSettings) -> float:
    """Tell how much a player blows from full to empty, in litres."""
    return (settings.full_share - settings.empty_share) * player.capacity_l


def _step_factor(
    tones: Sequence[LongTone], flows: Sequence[float], settings: AirSettings
) -> float:
    """Tell how much two tones' flows differ for each step of dynamics."""
    steps = tones[1].loudness - tones[0].loudness
    if abs(steps) < settings.least_loudness_apart_steps:
        raise ConfigError(
            "The two long tones are equally loud.",
            "Hold one at mezzo-forte and one at fortissimo.",
        )
    # Against what the law gives both at the first one's loudness: where that lies on
    # the floor, as stale air does, the louder tone alone tells of the dynamics.
    soft = tones[0].loudness
    alike = flow_lps(tones[0].hertz, soft, settings) / flow_lps(
        tones[1].hertz, soft, replace(settings, floor_lps=math.ulp(0.0))
    )
    factor: float = (flows[1] / flows[0] * alike) ** (1.0 / steps)
    if factor <= 1.0:
        raise ConfigError(
            "The louder long tone took no more air than the softer one.",
            "Hold both again, each from a full breath until nothing more comes.",
        )
    return factor
