"""Which flow would have emptied the lungs."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.rehearsal.click.clicks import ClickTrack
from coach.rehearsal.run.emptying import empties_at_scale
from coach.rehearsal.run.gauge import lay_gauge
from coach.score.tempo import Seconds
from tests.hand_made import part_of
from tests.hand_rehearsal import breath_by_hand, gauge_by_hand, plan_by_hand

PLAN = plan_by_hand(
    part_of("Bb2q C3q rh D3h Eb3h"),
    [(0.9, 0.7), (0.7, 0.4), (0.8, 0.6), (0.6, 0.2)],
    (breath_by_hand(1, 2.0, 4.0, (0.4, 0.8)),),
)


def test_a_mark_tells_the_flow_that_would_have_emptied_the_lungs_there() -> None:
    gauge = gauge_by_hand(PLAN)
    # At 2 s, 0.5 of the 0.9 is used: 1.8 times the flow would have used it all.
    assert empties_at_scale(gauge, Seconds(1.999999)) == pytest.approx(1.8, rel=1e-4)
    # At 8 s, 0.6 of the 0.8 after the breath.
    assert empties_at_scale(gauge, Seconds(8.0)) == pytest.approx(0.8 / 0.6)


def test_what_cannot_be_blown_out_is_no_air_to_use() -> None:
    track = ClickTrack((), Seconds(0.0), Seconds(8.0))
    gauge = lay_gauge(PLAN, track, hold_shown=Seconds(2.0), empty_air=0.1)
    assert empties_at_scale(gauge, Seconds(8.0)) == pytest.approx(0.7 / 0.6)


def test_the_flow_is_told_against_the_model_not_against_the_plan() -> None:
    plan = replace(PLAN, player=replace(PLAN.player, flow_scale=1.2))
    assert empties_at_scale(gauge_by_hand(plan), Seconds(8.0)) == pytest.approx(1.6)


def test_a_run_to_the_end_tells_by_the_stretch_that_asked_for_most() -> None:
    assert empties_at_scale(gauge_by_hand(PLAN), None) == pytest.approx(0.8 / 0.6)


def test_a_mark_on_the_first_moment_tells_nothing() -> None:
    assert empties_at_scale(gauge_by_hand(PLAN), Seconds(0.0)) is None
    assert empties_at_scale(gauge_by_hand(PLAN), Seconds(-1.0)) is None


def test_a_plan_that_begins_dry_tells_nothing() -> None:
    plan = plan_by_hand(part_of("Bb2w"), [(0.0, -0.3)])
    assert empties_at_scale(gauge_by_hand(plan), None) is None
