"""The beats of a run that a player can point at afterwards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from coach.planning.naming import say_place
from coach.planning.plan import Plan
from coach.score.tempo import Beats, Seconds


@dataclass(frozen=True, slots=True)
class BeatPlace:
    """One beat, in the written unit of its bar."""

    at: Seconds
    """Run time at which it began."""

    words: str
    """Where it stands on the page."""


def beat_places(plan: Plan, until: Seconds) -> Sequence[BeatPlace]:
    """List the beats that began before a run's end, at least the first."""
    places = [
        BeatPlace(
            plan.tempo_map.seconds_at(
                Beats(bar.onset + bar.played_at(k * bar.metre.unit_beats))
            ),
            say_place(bar.number, float(bar.first_beat) + k),
        )
        for bar in plan.part.bars
        for k in range(ceil(bar.written_length / bar.metre.unit_beats))
    ]
    return [place for place in places if place.at < until] or places[:1]


def nearest_place(places: Sequence[BeatPlace], at: Seconds) -> int:
    """Find the beat that sounds at a run time, or the first."""
    return max((k for k, place in enumerate(places) if place.at <= at), default=0)
