"""What is chosen where it gets tight: fewer notes, or breath after breath.

Common practice, no published source.
"""

from __future__ import annotations

from dataclasses import replace

from coach.planning.air.lungs import measured
from coach.planning.breathing.breath_settings import BreathSettings
from coach.planning.breathing.breaths import BreathPlan, plan_breaths
from coach.planning.breathing.locks import NOTHING_LOCKED, Locks
from coach.planning.breathing.passage import set_passage
from tests.dry_music import unbroken
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import COSTS, who

ENDLESS = part_of(
    "F3s A3s C4s A3s G3s Bb3s D4s Bb3s E3s G3s Bb3s G3s F3s C4s A3s F3s " * 16
)
NEVER_SNATCHED = replace(COSTS, snatched_weight=1e9)


def endless(
    bpm: float, costs: BreathSettings = COSTS, locks: Locks = NOTHING_LOCKED
) -> BreathPlan:
    """Plan sixteen bars of sixteenths for large lungs."""
    passage = set_passage(ENDLESS, bpm, [0.05] * (len(ENDLESS.notes) - 1))
    return plan_breaths(passage, replace(who(measured(6.0)), costs=costs), locks)


def test_rather_than_snatch_breath_after_breath_a_few_notes_are_left_out() -> None:
    counts = {bpm: len(endless(bpm).breaths) for bpm in range(48, 62)}
    assert max(counts.values()) - min(counts.values()) <= 2, counts
    assert endless(50).left_out
    assert endless(50).runs_out is None
    gasping = endless(50, NEVER_SNATCHED)
    assert not gasping.left_out
    assert len(gasping.breaths) > 2 * len(endless(50).breaths)


def test_who_forbids_it_snatches() -> None:
    plan = endless(50, locks=Locks(may_leave_out=False))
    assert not plan.left_out
    assert plan.breaths == endless(50, NEVER_SNATCHED).breaths


def test_a_single_breath_out_of_a_note_is_no_reason_to_leave_any_out() -> None:
    part = part_of(
        "F3s A3s C4s A3s G3s Bb3s D4s Bb3s E3s G3s Bb3s G3s F3e A3s F3s " * 5
    )
    passage = set_passage(part, 60, [0.05] * (len(part.notes) - 1))
    plan = plan_breaths(passage, who(measured(5.0)))
    assert len(plan.breaths) == 1
    assert not plan.left_out


def test_after_a_hold_the_player_fills_up() -> None:
    """However full the lungs are still, if only a breath is worth its noise."""
    part = part_of(
        "F3q G3q A3q Bb3q C4q Bb3q A3h " + "F3q G3q A3q Bb3q C4q Bb3q A3h " * 2
    )
    held = replace(
        part,
        notes=tuple(replace(n, has_fermata=k == 6) for k, n in enumerate(part.notes)),
    )
    ends = [0.05] * (len(part.notes) - 1)
    plan = plan_breaths(set_passage(held, 76, ends), who(measured(6.0)))
    after = {breath.after_note: breath for breath in plan.breaths}
    assert after[6].kind == "full"
    assert after[6].air_after >= 0.85


def test_a_breath_asked_for_beside_one_refused_stays_when_notes_may_be_left_out() -> (
    None
):
    locks = Locks(
        must=frozenset({1}),
        must_not=frozenset({2}),
        kept=frozenset({3}),
        left_out=frozenset({4}),
    )
    part = unbroken(4)
    passage = set_passage(part, 104, [0.05] * (len(part.notes) - 1))
    plan = plan_breaths(passage, who(measured(4.8)), locks)
    assert {1, 3} <= {breath.after_note for breath in plan.breaths}
