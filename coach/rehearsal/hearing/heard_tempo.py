"""At which tempo a take goes, where no click says which one was meant."""

from __future__ import annotations

from coach.planning.plan import Plan
from coach.rehearsal.hearing.heard import Heard, ToldAgainst
from coach.rehearsal.hearing.telling_settings import TellingSettings


def tempo_heard(plan: Plan, heard: Heard) -> float:
    """Tell at how many beats a minute it goes, to a whole one."""
    return float(round(plan.bpm * heard.own_tempo_share))


def is_other_tempo(heard: Heard, settings: TellingSettings) -> bool:
    """Tell whether it was played at another tempo than the one that was asked for.

    With a click or its count-in that would be rushing or dragging.
    """
    is_alone = heard.told_against is ToldAgainst.OWN_AVERAGE
    return is_alone and _away(heard) >= settings.other_tempo_share


def is_far_tempo(heard: Heard, settings: TellingSettings) -> bool:
    """Tell whether that is so far off that it can only be judged at its own tempo."""
    return is_other_tempo(heard, settings) and _away(heard) > settings.far_tempo_share


def _away(heard: Heard) -> float:
    """Tell how far off it is, as a share of the tempo that was asked for."""
    return abs(heard.own_tempo_share - 1.0)
