"""An edit or a notch of tempo keeps the breaths that a player knows."""

from __future__ import annotations

from dataclasses import replace

from coach.planning.air.lungs import measured
from coach.planning.breathing.alike.alike_breaths import hold_on
from coach.planning.breathing.breath_places import lay_places
from coach.planning.breathing.breaths import BreathPlan, plan_breaths
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import Breather, Passage, set_passage
from coach.planning.breathing.search.breath_search import find_breaths
from coach.planning.breathing.search.breath_walk import Walk
from coach.planning.breathing.ways.choose_ways import choose_ways
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import who

SCALES = "F3q G3q A3e Bb3e C4q D4q C4e Bb3e A3q G3q "


def scales(bpm: float) -> Passage:
    """Lay out a line with many places that are nearly as good as each other."""
    part = part_of(SCALES * 6)
    return set_passage(part, bpm, [0.3] * (len(part.notes) - 1))


def places(plan: BreathPlan) -> frozenset[int]:
    return frozenset(breath.after_note for breath in plan.breaths)


def gaps(walk: Walk) -> frozenset[int]:
    return frozenset(k for k, _ in walk.breaths)


def changes_by_notches(breather: Breather, *, keeps: bool) -> int:
    """Go through the tempi by notches of 1 bpm; count the places that change."""
    plan, changes = plan_breaths(scales(60), breather), 0
    for bpm in range(61, 101):
        so_far = plan.own_places if keeps else None
        later = plan_breaths(scales(bpm), breather, before=so_far)
        changes += len(places(plan) ^ places(later))
        plan = later
    return changes


def test_notches_of_tempo_change_fewer_places_than_plans_made_from_nothing() -> None:
    breather = who(measured(4.0))
    kept = changes_by_notches(breather, keeps=True)
    assert kept < changes_by_notches(breather, keeps=False) / 2


def test_what_is_kept_costs_no_more_than_the_price_of_its_changes() -> None:
    breather = who(measured(4.0))
    price = breather.costs.change_weight
    old = plan_breaths(scales(60), breather).own_places
    for bpm in range(61, 101):
        laid = lay_places(scales(bpm), breather)
        allowed = choose_ways(laid, Locks())
        best, held = find_breaths(laid, allowed), hold_on(laid, allowed, old)
        saved = len(gaps(best) ^ old) - len(gaps(held) ^ old)
        assert best.cost - 1e-9 <= held.cost <= best.cost + saved * price + 1e-9


def test_what_would_be_planned_from_nothing_is_held_as_it_is() -> None:
    """Like stretches are breathed alike in both."""
    for bpm in (60, 80, 100):
        for litres in (3.5, 4.5, 5.5):
            breather = who(measured(litres))
            plan = plan_breaths(scales(bpm), breather)
            again = plan_breaths(scales(bpm), breather, before=plan.own_places)
            assert places(again) == places(plan)


def test_a_clearly_better_plan_is_taken() -> None:
    breather = who(measured(4.0))
    end = len(scales(60).part.notes) - 2
    best = plan_breaths(scales(80), breather)
    held = plan_breaths(scales(80), breather, before=frozenset({0, 1, 2, end}))
    assert not places(held) & {0, 1, 2}
    assert held.cost <= best.cost * 1.1


def test_a_breath_the_player_asked_for_is_not_held_on_to() -> None:
    breather = who(measured(4.0))
    forced = plan_breaths(scales(80), breather, Locks(must=frozenset({5})))
    assert 5 in places(forced)
    assert 5 not in forced.own_places


def test_what_costs_nothing_to_change_is_planned_from_nothing() -> None:
    free = who(measured(4.0))
    free = replace(free, costs=replace(free.costs, change_weight=0.0))
    old = plan_breaths(scales(60), free).own_places
    again = plan_breaths(scales(90), free, before=old)
    assert places(again) == places(plan_breaths(scales(90), free))


def test_what_is_held_on_to_leaves_nobody_dry_who_need_not_be() -> None:
    stubborn = who(measured(4.0))
    stubborn = replace(stubborn, costs=replace(stubborn.costs, change_weight=1e4))
    plan = plan_breaths(scales(60), stubborn, before=frozenset())
    assert plan.runs_out is None
    assert places(plan) == places(plan_breaths(scales(60), stubborn))


def test_where_the_air_cannot_last_what_is_known_is_held_on_to_still() -> None:
    """A whole note of 24 s is too long for three litres, wherever one breathes."""
    stubborn = who(measured(3.0))
    stubborn = replace(stubborn, costs=replace(stubborn.costs, change_weight=5.0))
    words = "F3e G3e A3e Bb3e A3e G3e A3e Bb3e C4w Bb3q A3q G3q F3q"
    passage = set_passage(part_of(words), 10, [0.3] * 12)
    held = plan_breaths(passage, stubborn, before=frozenset({2}))
    assert held.runs_out == 8
    assert 2 in places(held)
    assert 2 not in places(plan_breaths(passage, stubborn))
