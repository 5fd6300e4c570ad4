"""The air at every moment: exact inside notes and breaths, and one with the plan."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.planning.air.air import refill
from coach.planning.air.lungs import measured
from coach.planning.breathing.air_levels import AirLevels, lay_air_levels
from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.breaths import BreathPlan, choose_breaths, plan_breaths
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import set_passage
from coach.score.phrase import Part
from coach.score.tempo import Seconds
from tests.hand_made import part_of
from tests.hand_rehearsal import plan_by_hand
from tests.planning.breathing.breath_oracle import AIR, problems, who

BREATHER = who(measured(4.5))


def drawn(
    part: Part, ends: tuple[float, ...], effort: tuple[float, ...] | None = None
) -> tuple[BreathPlan, AirLevels]:
    passage = set_passage(part, 60, ends).worked(effort or (1.0,) * len(part.notes))
    plan = plan_breaths(passage, BREATHER)
    return plan, lay_air_levels(passage, plan, BREATHER)


def test_before_the_first_note_the_lungs_are_full() -> None:
    _, curve = drawn(part_of("rq F3w"), ())
    assert curve.level_at(Seconds(-3.0)) == AIR.full_share
    assert curve.level_at(Seconds(0.5)) == AIR.full_share


def test_a_crescendo_bends_the_curve_down() -> None:
    part = part_of("F3w")
    swelling = replace(part.notes[0], loud_start=-3.0, loud_end=2.0)
    plan, curve = drawn(replace(part, notes=(swelling,)), ())
    straight = (plan.air_before[0] + plan.air_after[0]) / 2
    assert curve.level_at(Seconds(2.0)) > straight + 0.05
    assert curve.level_at(Seconds(9.0)) == pytest.approx(plan.air_after[0])


def test_a_breath_rises_fast_at_first_and_ends_as_planned() -> None:
    plan, curve = drawn(part_of("F3w rh F3w"), (1.0,))
    (breath,) = plan.breaths
    early = curve.level_at(Seconds(breath.start + 0.5))
    assert early == pytest.approx(refill(breath.air_before, 0.5, AIR))
    assert early > (breath.air_before + breath.air_after) / 2
    assert curve.level_at(breath.next_note) == pytest.approx(breath.air_after)


def test_a_staccato_note_uses_nothing_in_its_silence() -> None:
    part = part_of("F3h F3h")
    dotted = replace(part.notes[0], articulations=frozenset({"staccato"}))
    plan, curve = drawn(replace(part, notes=(dotted, part.notes[1])), (0.0,))
    assert curve.level_at(Seconds(1.0)) == pytest.approx(plan.air_after[0])
    assert curve.level_at(Seconds(0.5)) > plan.air_after[0]


def test_tongue_and_arm_are_in_it_without_being_told() -> None:
    plan, curve = drawn(part_of("F3w"), (), effort=(1.3,))
    assert curve.level_at(Seconds(4.0 - 1e-9)) == pytest.approx(plan.air_after[0])


@settings(max_examples=40, deadline=None)
@given(problems(most_notes=10), st.floats(0.0, 1.0))
def test_it_meets_the_plan_and_never_rises_but_in_breaths(
    places: Places, share: float
) -> None:
    plan = choose_breaths(places)
    curve = lay_air_levels(places.passage, plan, places.breather)
    breathing = {breath.after_note for breath in plan.breaths}
    for k, time in enumerate(places.passage.times):
        start, stop = time.start, plan.ends[k]
        if k in plan.left_out:
            continue
        assert curve.level_at(start) == pytest.approx(plan.air_before[k], abs=1e-9)
        inside = curve.level_at(Seconds(start + share * (stop - start)))
        assert plan.air_after[k] - 1e-9 <= inside <= plan.air_before[k] + 1e-9
        if k + 1 < len(places.passage.times) and k not in breathing:
            assert curve.level_at(stop) == pytest.approx(plan.air_after[k])


def test_a_note_that_a_breath_takes_whole_uses_no_air() -> None:
    part = part_of("F3q F3q", bpm=60)
    plan = plan_by_hand(part, [(0.9, 0.9), (0.9, 0.7)])
    taken = replace(plan.breaths, ends=(plan.times[0].start, plan.times[1].end))
    levels = lay_air_levels(plan.passage, taken, who(plan.player))
    assert levels.level_at(Seconds(0.5)) == pytest.approx(0.9)
    assert levels.level_at(Seconds(2.0)) == pytest.approx(0.7)


def test_who_is_dry_stays_at_empty() -> None:
    plan, curve = drawn(part_of("Bb1w Bb1w Bb1w", loud=3.0), (0.1, 0.1))
    assert plan.runs_out == 0
    levels = [curve.level_at(Seconds(k / 10)) for k in range(120)]
    assert min(levels) == AIR.empty_share < levels[10]
    assert levels.count(AIR.empty_share) > 1


def test_while_notes_are_left_out_the_player_breathes() -> None:
    words = "F3s G3s A3s G3s " * 2
    locks = Locks(left_out=frozenset({5, 6}))
    passage = set_passage(part_of(words), 60, (0.1,) * 7)
    plan = plan_breaths(passage, BREATHER, locks)
    (breath,) = plan.breaths
    curve = lay_air_levels(passage, plan, BREATHER)
    inside = curve.level_at(Seconds((breath.start + breath.next_note) / 2))
    assert breath.air_before < inside < breath.air_after
    assert curve.level_at(breath.next_note) == pytest.approx(breath.air_after)
