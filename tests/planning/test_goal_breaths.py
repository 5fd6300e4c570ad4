"""What is learned slowly is breathed as at the goal (common practice, no published
source)."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from coach.plain.plan_json import plan_as_dict
from coach.plain.plan_table import plan_lines
from coach.planning.air.lungs import measured
from coach.planning.breathing.breath_settings import BreathSettings
from coach.planning.breathing.breaths import BreathPlan, plan_breaths
from coach.planning.breathing.locks import NOTHING_LOCKED, Locks
from coach.planning.breathing.passage import Passage, set_passage
from coach.planning.breathing.sure_breaths import find_sure, prove_breaths
from coach.planning.edits import Edits
from coach.planning.phrasing.phrasing import phrase_ends
from coach.planning.plan import Plan, make_plan, make_tongued_plan
from tests.benchmarks.breath_laws import study
from tests.hand_made import part_of
from tests.hand_rehearsal import performer
from tests.planning.breathing.breath_oracle import COSTS, MILD, who

GOAL = 90.0
SLOW = (45.0, 60.0, 75.0)
STUDIES = [
    replace(part, tempo=replace(part.tempo, bpm=GOAL))
    for part in (study(seed, 0.0) for seed in (102, 106, 107))
]
"""Unbroken sixteenths and eighths: many places are nearly as good as each other."""


@cache
def breathed(bpm: float, costs: BreathSettings = COSTS, number: int = 0) -> BreathPlan:
    """Plan one of the studies, with the breaths of the goal in mind."""
    part = STUDIES[number]
    breather = who(measured(5.2), costs)
    ends = phrase_ends(part)
    passage = set_passage(part, bpm, ends)
    if bpm < GOAL:
        goal = plan_breaths(set_passage(part, GOAL, ends), breather).places
        passage = replace(passage, goal_breaths=goal)
    return plan_breaths(passage, breather)


def kept_share(costs: BreathSettings) -> float:
    """Tell which share of the goal's breaths is taken at slower tempi too."""
    kept = count = 0
    for number in range(len(STUDIES)):
        goal = breathed(GOAL, costs, number).places
        for bpm in SLOW:
            kept += len(goal & breathed(bpm, costs, number).places)
            count += len(goal)
    return kept / count


def test_of_the_breaths_of_the_goal_hardly_one_is_passed_by_in_slow_practice() -> None:
    assert kept_share(COSTS) >= 0.98
    assert kept_share(replace(COSTS, goal_breath_weight=0.0)) < 0.9


def test_they_cost_little_and_leave_nobody_dry() -> None:
    free = replace(COSTS, goal_breath_weight=0.0)
    plans = [(bpm, number) for bpm in SLOW for number in range(len(STUDIES))]
    kept = [breathed(bpm, COSTS, number) for bpm, number in plans]
    cheapest = [breathed(bpm, free, number) for bpm, number in plans]
    assert all(plan.runs_out is None for plan in kept)
    assert sum(plan.cost for plan in kept) <= 1.03 * sum(p.cost for p in cheapest)
    assert sum(len(plan.breaths) for plan in kept) <= 1.1 * sum(
        len(plan.breaths) for plan in cheapest
    )


def test_what_only_a_slow_tempo_asks_for_is_told_from_the_breaths_of_the_goal() -> None:
    goal, slow = breathed(GOAL), breathed(45.0)
    assert len(slow.breaths) > len(goal.breaths)
    for breath in slow.breaths:
        assert breath.is_extra == (breath.after_note not in goal.places)
        assert breath.why.endswith("as at 90") == (not breath.is_extra)
    assert not any(breath.is_extra for breath in goal.breaths)


LINE = "F3q G3q A3e Bb3e C4q D4q C4e Bb3e A3q G3q "


def line(goal: frozenset[int], bpm: float = 60.0) -> Passage:
    """Lay out a line that is to be breathed in some places at its goal."""
    part = part_of(LINE * 6, bpm=120)
    passage = set_passage(part, bpm, [0.3] * (len(part.notes) - 1))
    return replace(passage, goal_breaths=goal)


SMALL = who(measured(4.0))


def test_no_breath_is_taken_for_nothing_though_the_goal_has_it() -> None:
    """After two notes the lungs are full still."""
    plan = plan_breaths(line(frozenset({1, 2, 44})), SMALL)
    assert {1, 2}.isdisjoint(plan.places)
    assert 44 in plan.places


def test_what_the_player_refuses_or_asks_for_goes_before_the_goal() -> None:
    locks = Locks(must=frozenset({35}), must_not=frozenset({44}))
    plan = plan_breaths(line(frozenset({44})), SMALL, locks)
    assert 44 not in plan.places
    (asked,) = (breath for breath in plan.breaths if breath.is_locked)
    assert asked.after_note == 35
    assert not asked.is_extra
    assert asked.why == "you ask for it"


def test_a_mark_of_the_page_is_never_extra() -> None:
    passage = line(frozenset())
    notes = tuple(
        replace(note, breath_mark="comma" if k == 35 else "")
        for k, note in enumerate(passage.part.notes)
    )
    marked = replace(passage, part=replace(passage.part, notes=notes))
    plan = plan_breaths(marked, SMALL)
    assert {b.after_note for b in plan.breaths if not b.is_extra} == {35}


def test_a_breath_of_the_goal_that_would_leave_somebody_dry_is_passed_by() -> None:
    """Three litres, a note of ten seconds: breathed right before it or not at all."""
    part = part_of("F3q G3q A3q Bb3q A3q G3q F3q C4w", bpm=120)
    passage = set_passage(part, 24, [0.3] * 7)
    small = who(measured(3.0), replace(COSTS, goal_breath_weight=1e4))
    plan = plan_breaths(replace(passage, goal_breaths=frozenset({5})), small)
    assert plan.runs_out is None
    assert plan.places == plan_breaths(passage, small).places


OTHERWISE = frozenset({4, 11, 18, 24, 31, 38, 44, 51})
"""Breaths that the line might have at its goal, and none of them at 60 by itself."""


def test_what_is_held_on_to_after_an_edit_holds_on_to_the_goal_too() -> None:
    plain = plan_breaths(line(frozenset()), SMALL)
    assert OTHERWISE.isdisjoint(plain.places)
    held = plan_breaths(line(OTHERWISE), SMALL, before=plain.own_places)
    assert held.places == OTHERWISE


def test_with_the_goal_in_mind_a_plan_is_proved_as_well() -> None:
    """Where likeness costs nothing besides."""
    small = who(measured(4.0), MILD)
    passage = line(frozenset({12, 29, 41}))
    plan = plan_breaths(passage, small)
    assert prove_breaths(passage, small, plan) <= 0.02
    worse = plan_breaths(replace(passage, goal_breaths=None), small)
    assert prove_breaths(passage, small, worse) > 0.02


def test_at_the_tempo_of_the_page_and_faster_nothing_is_held_on_to() -> None:
    slow = line(frozenset({44}))
    assert slow.at(100.0).goal_breaths == frozenset({44})
    assert slow.at(120.0).goal_breaths is None
    assert slow.at(130.0).goal_breaths is None


def test_what_is_sure_is_sure_with_the_goal_in_mind() -> None:
    """What the next notch of tempo moved without it is sure with it."""
    passage = line(OTHERWISE)
    plan = plan_breaths(passage, SMALL)
    told = find_sure(passage, SMALL, plan, NOTHING_LOCKED)
    alone = replace(passage, goal_breaths=None)
    free = find_sure(alone, SMALL, plan_breaths(alone, SMALL), NOTHING_LOCKED)
    sure, without = (sum(b.is_sure for b in each.breaths) for each in (told, free))
    assert sure > without


def slowly(
    bpm: float,
    edits: Edits | None = None,
    before: Plan | None = None,
    litres: float = 5.2,
) -> Plan:
    """Plan the first study with arm and tongue."""
    passage = set_passage(STUDIES[0], bpm, phrase_ends(STUDIES[0]))
    return make_plan(passage, performer(measured(litres)), edits or Edits(), before)


def test_arm_and_tongue_weigh_in_on_what_the_goal_breathes() -> None:
    goal = slowly(GOAL)
    assert goal.passage.goal_breaths is None
    assert slowly(60.0).passage.goal_breaths == goal.breaths.places


def test_a_breath_locked_at_a_slow_tempo_leaves_the_goal_as_it_was() -> None:
    """Its plan would take as long as the edit's own."""
    slow = slowly(60.0)
    locked = Edits(
        locks=Locks(must_not=frozenset({slow.breaths.breaths[1].after_note}))
    )
    after = slowly(60.0, locked, slow)
    assert after.passage.goal_breaths is slow.passage.goal_breaths
    faster = slowly(62.0, before=slow)
    assert faster.passage.goal_breaths is slow.passage.goal_breaths


def test_softer_or_with_other_lungs_the_goal_is_breathed_otherwise() -> None:
    slow = slowly(60.0)
    softer = Edits(dynamic_shift=-2.0)
    assert (
        slowly(60.0, softer, slow).passage.goal_breaths
        == slowly(GOAL, softer).breaths.places
    )
    assert (
        slowly(60.0, before=slow, litres=4.0).passage.goal_breaths
        == slowly(GOAL, litres=4.0).breaths.places
    )


def test_where_the_player_has_settled_every_place_so_they_are_at_the_goal() -> None:
    count = len(STUDIES[0].notes) - 1
    must = slowly(60.0).breaths.places
    locks = Locks(must=must, must_not=frozenset(range(count)) - must)
    settled = slowly(60.0, Edits(locks=locks))
    assert settled.passage.goal_breaths == must
    assert settled.breaths.places == must


def test_the_plan_tells_extra_breaths_to_players_and_to_scripts() -> None:
    goal, slow = slowly(GOAL), slowly(60.0)
    lines = plan_lines(slow, width=80)
    extra = [breath.is_extra for breath in slow.breaths.breaths]
    assert sum(line.endswith(" +") for line in lines) == sum(extra) > 0
    assert "(+: only at this tempo; at 90 you play through)" in lines
    assert "(+:" not in "\n".join(plan_lines(goal, width=80))
    told = plan_as_dict(slow, gap=0.0)["breaths"]
    assert [breath["extra"] for breath in told] == extra


def test_tongued_throughout_the_same_breaths_are_extra() -> None:
    slow = slowly(60.0)
    tongued = make_tongued_plan(slow, performer(measured(5.2)))
    assert [(b.after_note, b.is_extra) for b in tongued.breaths.breaths] == [
        (b.after_note, b.is_extra) for b in slow.breaths.breaths
    ]
