"""What the countdown says at a glance."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.plan import Plan
from coach.score.tempo import Seconds
from coach.screens.run.cues import cue_of
from tests.hand_made import played
from tests.hand_rehearsal import breath_by_hand, gauge_by_hand, plan_by_hand


def repeated() -> Plan:
    """Play two bars twice, with a breath in the first of them the second time."""
    part = played("F3q G3q F3q G3q " * 2, [1, 2, 1, 2])
    breath = breath_by_hand(9, 9.6, 10.0, (0.6, 0.8))
    return plan_by_hand(part, [(0.9, 0.8)] * len(part.notes), (breath,))


def test_a_breath_in_an_earlier_bar_of_the_next_pass_is_still_to_come() -> None:
    plan = repeated()
    gauge = gauge_by_hand(plan)
    in_bar_2 = cue_of(gauge.glance(Seconds(plan.times[4].start + 0.1)), plan)
    assert in_bar_2.words == ("INTO", "BAR 1"), "until would end at its bar line"
    assert in_bar_2.say.startswith("next breath in bar 1, time 2 through, in ")


@pytest.mark.parametrize("is_optional", [True, False])
def test_a_breath_that_may_be_left_out_is_not_shouted_as_due(is_optional: bool) -> None:
    plan = repeated()
    (breath,) = plan.breaths.breaths
    told = replace(breath, is_optional=is_optional)
    plan = replace(plan, breaths=replace(plan.breaths, breaths=(told,)))
    gauge = gauge_by_hand(plan)
    now = cue_of(gauge.glance(Seconds(breath.start + 0.1)), plan)
    assert now.kind.startswith("in-")
    assert now.words[-1].endswith("?") is is_optional
    assert now.say.startswith("(") is is_optional
