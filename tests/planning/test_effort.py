"""What tongue and arm cost in air."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.config import read_settings
from coach.planning.air.air_settings import AirSettings
from coach.planning.breathing.passage import set_passage
from coach.planning.effort import effort_factors, strokes_of
from coach.planning.slide.slide import Articulation, Placement, SlidePlan
from coach.score.phrase import NoteTime
from coach.score.tempo import Seconds
from tests.hand_made import part_of

AIR = read_settings(AirSettings, "air")


def begun_with(*begun: tuple[Articulation, float | None]) -> SlidePlan:
    return SlidePlan(
        placements=tuple(Placement("1", cm, 3) for _, cm in begun),
        articulations=tuple(articulation for articulation, _ in begun),
        travel_cm=0.0,
        tongue_strokes=0,
        natural_slurs=0,
        cost=0.0,
    )


def lasting(*seconds: float) -> list[NoteTime]:
    return [NoteTime(Seconds(9.0), Seconds(9.0 + each)) for each in seconds]


WEIGHED = replace(AIR, tongue_stroke_s=0.02, legato_stroke_s=0.01, arm_share_per_m=0.1)


def test_tongue_and_arm_cost_air_and_natural_slurs_do_not() -> None:
    plan = begun_with(
        (Articulation.TONGUED, 0.0),
        (Articulation.NATURAL_SLUR, 0.0),
        (Articulation.LEGATO_TONGUED, 50.0),
        (Articulation.TONGUED, 0.0),
    )
    found = effort_factors(plan, lasting(0.2, 0.2, 0.2, 0.1), WEIGHED)
    assert found == pytest.approx((1.1, 1.0, 1.1, 1.25))


def test_without_a_slide_only_the_tongue_counts() -> None:
    plan = begun_with(
        (Articulation.VALVE_SLUR, None),
        (Articulation.TONGUED, None),
        (Articulation.TONGUED, 20.0),
    )
    found = effort_factors(plan, lasting(0.2, 0.2, 0.2), WEIGHED)
    assert found == pytest.approx((1.0, 1.1, 1.1))


def test_a_stroke_takes_less_of_its_note_at_a_slower_tempo() -> None:
    part = part_of("F3s G3s A3s Bb3q")
    plan = begun_with(
        (Articulation.TONGUED, 0.0),
        (Articulation.NATURAL_SLUR, 20.0),
        (Articulation.LEGATO_TONGUED, 20.0),
        (Articulation.TONGUED, 0.0),
    )
    passage = set_passage(part, 90, (0.1,) * 3)
    effort = effort_factors(plan, passage.times, WEIGHED)
    worked = passage.worked(effort, strokes_of(plan, WEIGHED))
    for bpm in (45, 90, 180, 1800):
        other = worked.at(bpm)
        assert other.effort == pytest.approx(effort_factors(plan, other.times, WEIGHED))
    assert worked.at(45).effort[0] < worked.effort[0] < worked.at(180).effort[0]
    assert passage.worked(effort).at(45).effort == effort


def test_a_stroke_never_takes_more_than_its_note_and_hardly_counts_in_a_long_one() -> (
    None
):
    plan = begun_with((Articulation.TONGUED, None), (Articulation.TONGUED, None))
    found = effort_factors(plan, lasting(0.005, 4.0), WEIGHED)
    assert found == pytest.approx((2.0, 1.005))


def test_tongued_throughout_takes_noticeably_more_air_than_twos() -> None:
    """Sixteenths at 100: 4 to 10 % more; common practice, no published source."""
    sixteenths = lasting(*[0.15] * 16)
    tongued = begun_with(*[(Articulation.TONGUED, 0.0)] * 16)
    twos = begun_with(*[(Articulation.TONGUED, 0.0), (Articulation.LIP_SLUR, 0.0)] * 8)
    more = sum(effort_factors(tongued, sixteenths, AIR)) / sum(
        effort_factors(twos, sixteenths, AIR)
    )
    assert 1.04 < more < 1.10
