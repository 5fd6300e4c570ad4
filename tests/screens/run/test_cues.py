"""What the countdown says at a glance."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.edits import Edits
from coach.planning.plan import Plan
from coach.score.tempo import Seconds
from coach.screens.run.cues import cue_of
from tests.dry_music import endless
from tests.hand_made import part_of, played
from tests.hand_rehearsal import (
    HandPlanner,
    breath_by_hand,
    gauge_by_hand,
    plan_by_hand,
)


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
    assert (now.words[0] == "NEED") is is_optional
    assert now.say.startswith("(") is is_optional


@pytest.mark.parametrize("is_extra", [True, False])
def test_a_breath_that_only_the_slow_tempo_asks_for_says_so(is_extra: bool) -> None:
    plan = repeated()
    (breath,) = plan.breaths.breaths
    told = replace(breath, is_extra=is_extra)
    plan = replace(plan, breaths=replace(plan.breaths, breaths=(told,)))
    glance = gauge_by_hand(plan).glance(Seconds(breath.start - 1.5))
    say = cue_of(replace(glance, prompt_kind="full"), plan).say
    only = ", only at this tempo" if is_extra else ""
    assert say == f"breathe full in 2 beats{only}"


def test_an_oboist_is_told_on_the_stand_too_to_breathe_out_first() -> None:
    """Its air is stale before it is used up, so a fuller breath does not help."""
    plan = repeated()
    (breath,) = plan.breaths.breaths
    oboe = replace(plan.instrument, breathes_out_first=True)
    full = replace(breath, kind="full", is_optional=False)
    catch = replace(breath, kind="catch", is_optional=False)
    for told, words, how in (
        (full, ("OUT", "THEN IN"), "breathe out, then in, in 2 beats"),
        (catch, ("TOP", "OFF"), "top off in 2 beats"),
    ):
        breaths = replace(plan.breaths, breaths=(told,))
        told_plan = replace(plan, instrument=oboe, breaths=breaths)
        glance = gauge_by_hand(told_plan).glance(Seconds(breath.start - 1.5))
        ahead = cue_of(replace(glance, prompt_kind=told.kind), told_plan)
        assert (ahead.words, ahead.say) == (words, how)


def test_a_breath_that_does_not_fill_is_asked_for_as_a_deep_one() -> None:
    plan = repeated()
    (breath,) = plan.breaths.breaths
    for fills, how in ((True, "full"), (False, "deep")):
        told = replace(breath, kind="full", fills=fills, is_optional=False)
        told_plan = replace(plan, breaths=replace(plan.breaths, breaths=(told,)))
        glance = gauge_by_hand(told_plan).glance(Seconds(breath.start - 1.5))
        ahead = cue_of(replace(glance, prompt_kind="full"), told_plan)
        assert ahead.words == ("BREATHE", how.upper())
        assert ahead.say == f"breathe {how} in 2 beats"


def test_where_the_air_runs_out_its_bar_is_named_and_no_limit() -> None:
    """Air to bar 3 was read as lasting up to its bar line."""
    part = endless()
    plan = HandPlanner().plan(part, part.tempo.bpm, Edits())
    bar = plan.breaths.dry_place(0).bar
    assert bar > part.notes[0].bar, "the note begins before"
    gauge = gauge_by_hand(plan)
    ahead = cue_of(gauge.glance(Seconds(plan.times[0].start + 0.1)), plan)
    assert ahead.words == ("AIR OUT", f"BAR {bar}")
    assert ahead.say == f"the air runs out in bar {bar}"
    (onset,) = (b.onset for b in part.bars if b.number == bar)
    there = Seconds(plan.tempo_map.seconds_at(onset) + 0.1)
    assert cue_of(gauge.glance(there), plan).words == ("AIR", "OUT")


def test_a_breath_in_the_rest_of_the_next_bar_is_named_by_that_bar() -> None:
    """So do the words that announce it."""
    part = part_of("F3q G3q F3q G3q rq F3q G3q F3q")
    breath = breath_by_hand(3, 4.0, 5.0, (0.6, 0.9))
    plan = plan_by_hand(part, [(0.9, 0.8)] * len(part.notes), (breath,))
    cue = cue_of(gauge_by_hand(plan).glance(Seconds(0.5)), plan)
    assert cue.words == ("INTO", "BAR 2")
    assert cue.say == "next breath in bar 2, in 4 beats"


def test_the_same_bar_once_more_is_not_this_bar() -> None:
    part = played("F3q G3q F3q G3q ", [1, 1])
    breath = breath_by_hand(5, 5.6, 6.0, (0.6, 0.9))
    plan = plan_by_hand(part, [(0.9, 0.8)] * len(part.notes), (breath,))
    gauge = gauge_by_hand(plan)
    first = cue_of(gauge.glance(Seconds(0.5)), plan)
    assert first.words == ("INTO", "BAR 1")
    assert first.say.startswith("next breath in bar 1, time 2 through")
    assert cue_of(gauge.glance(Seconds(4.1)), plan).words == ("PLAY", "ON")
