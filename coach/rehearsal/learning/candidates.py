"""Who the player may be: flow, step of dynamics, intake, and how days differ.

Every candidate is a player of the model's, a little heavier or lighter, whose flow
grows more or less with each step of dynamics, who fills faster or more slowly, and
whose days differ by more or less.  Flow is laid out finely and evenly in ratio; of
the other three a few values stand for all.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import exp, log

from coach.planning.air.air_settings import AirSettings
from coach.setting_kinds import refuse_together

FLOW_STEP = 0.02
"""Flow scales tried lie this far apart, as a natural logarithm: 2 %."""

FLOW_REACH = 52
"""So many of them to either side of the model: from 0.35 to 2.8 times its flow."""

FLOW_LOGS = tuple(FLOW_STEP * k for k in range(-FLOW_REACH, FLOW_REACH + 1))
"""Flow scales tried, as natural logarithms."""

STEPS_OFF = (-1.25, 0.0, 1.25)
"""Where the few steps of dynamics lie that stand for a normal spread, in spreads."""

FILLS_OFF = (-1.8, -0.9, 0.0, 0.9, 1.8)
"""The same of the few intakes."""

DAY_RATIOS = (0.5, 0.8, 1.25, 2.0)
"""The few values that stand for how days differ, against the usual."""

DAY_RATIO_SPREAD = 0.5
"""How unsure that is, as a natural logarithm: a guess of ours, soon overruled."""


@dataclass(frozen=True, slots=True)
class LearningSettings:
    """How far to believe what: the keys of ``config/learning.toml``."""

    players_differ_share: float
    """Spread of players' flow about the model, as a natural logarithm."""

    capacities_differ_share: float
    """Spread of true capacities about a predicted one, as a natural logarithm."""

    steps_differ_share: float
    """Spread of players' steps of dynamics, as a share of the step's logarithm."""

    intakes_differ_share: float
    """Spread of the time that players take to fill, as a natural logarithm."""

    days_differ_share: float
    """Usual spread of one player's days, as a natural logarithm of flow."""

    runs_differ_share: float
    """Spread of the runs of one day, as a natural logarithm of flow."""

    tones_differ_share: float
    """Spread of long tones of one day, as a natural logarithm of flow."""

    walk_per_day_share: float
    """How far a player's flow wanders in a day, as a natural logarithm; over more
    days it grows with their root."""

    changed_days_share: float
    """Days on which a player's flow has changed at once since the day before."""

    change_share: float
    """How far it does then, as a natural logarithm."""

    wrong_share: float
    """Runs with a ran-out mark that means nothing."""

    forgotten_share: float
    """Times that the air was gone and nobody marked it."""

    tones_wrong_share: float
    """Long tones that were timed and tell nothing of the flow."""

    heard_wrong_share: float
    """The same of marks by the microphone: a tone may break for want of other things
    than air."""

    mark_early_s: float
    """A mark may lie this much before what it means, in seconds."""

    mark_late_s: float
    """A mark may lie this much after what it means, in seconds."""

    heard_loudness_share: float
    """So much is believed of how loud a note was heard beside its page; 0 for none."""

    most_heard_steps: float
    """It moves a note's loudness by no more steps of dynamics than this."""

    step_db: float
    """What a step of dynamics is worth to a microphone."""

    outside_share: float
    """Belief outside the band that is told, both sides together."""

    wide_band_share: float
    """A band is wide whose upper end lies further above the lower than this share."""

    told_share: float
    """The flow that is told is the one below which this share of the belief lies."""

    aim_share: float
    """Plans are made for the flow below which this share of the belief lies."""

    most_reserve_share: float
    """Plans are made for no more than this above the middle of the belief."""

    most_a_day_share: float
    """Without a long tone plans go this much further from the model, and no more, with
    each day on which the air ran out."""

    most_runs_count: int
    """Runs that are learned from at most, the newest."""

    def __post_init__(self) -> None:
        """Refuse numbers with which nothing can be learned."""
        above = (
            *(self.players_differ_share, self.runs_differ_share),
            *(self.tones_differ_share, self.mark_early_s, self.mark_late_s),
        )
        at_least = (
            *(self.capacities_differ_share, self.steps_differ_share),
            *(self.intakes_differ_share, self.days_differ_share),
            *(self.walk_per_day_share, self.most_reserve_share),
            self.most_a_day_share,
            *(self.change_share, self.changed_days_share),
        )
        chances = (
            *(self.wrong_share, self.heard_wrong_share, self.forgotten_share),
            self.tones_wrong_share,
            *(self.outside_share, self.told_share, self.aim_share),
        )
        wrong = {
            "players, runs, tones and marks must differ by more than 0": min(above)
            <= 0.0,
            "no spread, no reserve and no chance may be below 0": min(at_least) < 0.0,
            "changed_days_share must be below 1": self.changed_days_share >= 1.0,
            "wrong, forgotten, outside, told and aim must lie between 0 and 1": not all(
                0.0 < chance < 1.0 for chance in chances
            ),
            "most_runs_count must be at least 1": self.most_runs_count < 1,
        }
        refuse_together("learning", wrong, "Mend [learning] in your player file.")


@dataclass(frozen=True, slots=True)
class Candidates:
    """The few values of what is not flow, and how likely each is beforehand."""

    step_powers: tuple[float, ...]
    """A step of dynamics is the model's to this power."""

    fill_factors: tuple[float, ...]
    """Filling takes this many times the model's time."""

    day_spreads: tuple[float, ...]
    """Spread of days, as a natural logarithm of flow."""

    step_weights: tuple[float, ...]
    """How likely each power is; they add up to 1."""

    fill_weights: tuple[float, ...]
    """How likely each factor is; they add up to 1."""

    day_weights: tuple[float, ...]
    """How likely each spread of days is; they add up to 1."""


def lay_candidates(settings: LearningSettings) -> Candidates:
    """Lay out what is tried beside the flow."""
    return Candidates(
        step_powers=tuple(exp(settings.steps_differ_share * z) for z in STEPS_OFF),
        fill_factors=tuple(exp(settings.intakes_differ_share * z) for z in FILLS_OFF),
        day_spreads=tuple(settings.days_differ_share * ratio for ratio in DAY_RATIOS),
        step_weights=_normal_weights(STEPS_OFF),
        fill_weights=_normal_weights(FILLS_OFF),
        day_weights=_normal_weights(
            tuple(log(ratio) / DAY_RATIO_SPREAD for ratio in DAY_RATIOS)
        ),
    )


def air_as(air: AirSettings, step_power: float, fill_factor: float) -> AirSettings:
    """Give the air model with another step of dynamics and another intake.

    Parameters
    ----------
    step_power : float
        Its step of dynamics is taken to this power, so that it stays above 1.
    fill_factor : float
        Filling takes this many times as long.
    """
    return replace(
        air,
        loud_step_factor=air.loud_step_factor**step_power,
        calm_fill_s=air.calm_fill_s * fill_factor,
        gasp_fill_s=air.gasp_fill_s * fill_factor,
    )


def _normal_weights(off: tuple[float, ...]) -> tuple[float, ...]:
    """Weigh values by a normal curve, so that they add up to 1."""
    weights = [exp(-z * z / 2) for z in off]
    return tuple(weight / sum(weights) for weight in weights)
