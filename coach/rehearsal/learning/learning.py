"""What many runs, and long tones, say about this player's air.

Each run's breaths are replayed for every player that this one may be; days are
weighed, not runs, and old days fade.  With few runs the answer stays wide and near
the model, and says so.

Conventions
-----------
A flow scale is this player's flow against the model's; 1 is the model.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from math import exp, sqrt

from coach.planning.air.long_tones import LongTone
from coach.rehearsal.learning.belief import (
    Belief,
    after_day,
    believe_nothing_yet,
    flow_below,
    flows_of,
    weights_of,
)
from coach.rehearsal.learning.candidates import (
    Candidates,
    LearningSettings,
    lay_candidates,
)
from coach.rehearsal.learning.learned_words import (
    LONG_TONE,
    RAN_OUT,
    TO_THE_END,
    say_air,
)
from coach.rehearsal.learning.replaying import Whom
from coach.rehearsal.learning.sights import Sight, see_run, see_tone
from coach.rehearsal.run.run import PlayedRun

MIDDLE = 0.5
"""As much of a belief lies below its middle as above."""


@dataclass(frozen=True, slots=True)
class TimedTone:
    """A long tone and the day on which it was timed."""

    tone: LongTone
    """How long, how high, how loud."""

    day: date
    """When, by the player's own clock."""


@dataclass(frozen=True, slots=True)
class Study:
    """Whose air is learned, and how."""

    whom: Whom
    """Whose lungs, and the model that they are held against."""

    candidates: Candidates
    """Whom the player may be."""

    settings: LearningSettings
    """How far to believe what."""


@dataclass(frozen=True, slots=True)
class Learned:
    """What was learned up to the end of some day."""

    belief: Belief
    """How likely each candidate is."""

    ran_out: int = 0
    """Runs with a ran-out mark that count."""

    completed: int = 0
    """Runs to the end without one that count."""

    tones: int = 0
    """Long tones that count."""

    days: int = 0
    """Days that they are from."""

    days_out: int = 0
    """Days on which a run ran out."""


@dataclass(frozen=True, slots=True)
class AirEstimate:
    """A player's air against the model's, as far as runs and long tones tell."""

    flow_scale: float
    """What is told: a little above the middle of the belief, since runs that last
    bound it from above alone; the middle where nothing has told anything."""

    low: float
    """Lower end of the band that is told."""

    high: float
    """Upper end of the band that is told."""

    aim: float
    """Flow scale that plans are made for: in the upper part of the band, never below
    what is told, so that the air lasts on most days; the model's own where nothing has
    told anything, and nearer to it where plans wait for another day."""

    waits: bool
    """Plans do not go as far as what is told: a few days may have been bad ones."""

    step_power: float
    """A step of dynamics is the model's to this power."""

    fill_factor: float
    """Filling takes this many times the model's time."""

    days_differ: float
    """Spread of the player's days, as a share of flow."""

    ran_out: int
    """Runs with a ran-out mark that count."""

    completed: int
    """Runs to the end without one that count."""

    tones: int
    """Long tones that count."""

    days: int
    """Days that they are from."""

    says: str
    """All of that in the player's words."""


def begin_study(whom: Whom, settings: LearningSettings) -> Study:
    """Lay out how a player's air is learned."""
    return Study(whom, lay_candidates(settings), settings)


def begin_learning(study: Study) -> Learned:
    """Give what is known of a player before the first run."""
    player = study.whom.player
    return Learned(
        believe_nothing_yet(
            study.candidates,
            study.settings,
            is_predicted=player.lower_l < player.capacity_l,
        )
    )


def see(study: Study, played: PlayedRun) -> Sight | None:
    """Tell what a run shows; None where nothing was said of the air."""
    return see_run(played, study.whom, study.candidates, study.settings)


def see_long_tone(study: Study, timed: TimedTone) -> Sight:
    """Tell what a long tone shows."""
    return see_tone(timed.tone, timed.day, study.whom, study.candidates, study.settings)


def learn_day(study: Study, learned: Learned, sights: Sequence[Sight]) -> Learned:
    """Learn from all that one day has shown.

    Parameters
    ----------
    learned : Learned
        What was known at the end of an earlier day.
    sights : sequence of Sight
        At least one, all of one day.
    """
    tones = sum(sight.is_tone for sight in sights)
    out = sum(sight.ran_out and not sight.is_tone for sight in sights)
    return Learned(
        belief=after_day(
            learned.belief, sights[0].day, sights, study.candidates, study.settings
        ),
        ran_out=learned.ran_out + out,
        completed=learned.completed + len(sights) - out - tones,
        tones=learned.tones + tones,
        days=learned.days + 1,
        days_out=learned.days_out + bool(out),
    )


def by_day(sights: Sequence[Sight]) -> list[tuple[date, list[Sight]]]:
    """Gather sights by their day, oldest first."""
    ordered = sorted(sights, key=lambda sight: sight.day)
    return [
        (day, list(shown)) for day, shown in groupby(ordered, lambda sight: sight.day)
    ]


def learn(
    played: Sequence[PlayedRun],
    whom: Whom,
    settings: LearningSettings,
    *,
    tones: Sequence[TimedTone] = (),
    today: date | None = None,
) -> AirEstimate:
    """Estimate a player's air from runs and long tones.

    Parameters
    ----------
    played : sequence of PlayedRun
        Of any etudes, in any order, of one player on one instrument.
    today : date, optional
        Left out, the newest day.

    Returns
    -------
    AirEstimate
        The middle and the band of what can be believed.
    """
    study = begin_study(whom, settings)
    seen = [sight for run in played if (sight := see(study, run)) is not None]
    seen += [see_long_tone(study, timed) for timed in tones]
    learned = begin_learning(study)
    for _, shown in by_day(seen):
        learned = learn_day(study, learned, shown)
    return sum_up(study, learned, today)


def sum_up(study: Study, learned: Learned, today: date | None = None) -> AirEstimate:
    """Say what is known of a player's air.

    Parameters
    ----------
    today : date, optional
        The time since the last day widens the band; left out, none has gone by.
    """
    settings, belief = study.settings, learned.belief
    if today is not None and belief.day is not None and today > belief.day:
        belief = after_day(belief, today, (), study.candidates, settings)
    flows = flows_of(belief)
    outside = settings.outside_share / 2
    is_learned = learned.days > 0
    told_share = settings.told_share if is_learned else MIDDLE
    middle, told, low, high, upper = (
        exp(flow_below(flows, share))
        for share in (MIDDLE, told_share, outside, 1 - outside, settings.aim_share)
    )
    power, fill, spread = _middles(weights_of(belief), study.candidates)
    aim = max(told, min(upper, middle * (1.0 + settings.most_reserve_share)))
    most = aim
    if learned.days_out and not learned.tones:
        most = (1.0 + settings.most_a_day_share) ** learned.days_out
    return AirEstimate(
        flow_scale=told,
        low=low,
        high=high,
        aim=min(aim, most) if is_learned else 1.0,
        waits=most < told,
        step_power=power if is_learned else 1.0,
        fill_factor=fill if is_learned else 1.0,
        days_differ=spread,
        ran_out=learned.ran_out,
        completed=learned.completed,
        tones=learned.tones,
        days=learned.days,
        says=say_air(
            (told, low, high),
            learned.days,
            {
                LONG_TONE: learned.tones,
                RAN_OUT: learned.ran_out,
                TO_THE_END: learned.completed,
            },
            settings.wide_band_share,
        ),
    )


def _middles(
    weights: Sequence[float], candidates: Candidates
) -> tuple[float, float, float]:
    """Give the mean of what is not flow: step, intake and spread of days."""
    power = fill = variance = 0.0
    left = iter(weights)
    for a in candidates.step_powers:
        for b in candidates.fill_factors:
            for c in candidates.day_spreads:
                weight = next(left)
                power += weight * a
                fill += weight * b
                variance += weight * c * c
    return power, fill, sqrt(variance)
