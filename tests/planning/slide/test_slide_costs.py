"""What a step costs, worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from math import inf

import pytest

from coach.planning.instrument.placement import Articulation, Placement
from coach.planning.slide.arm import move_time_s
from coach.planning.slide.manners import Manner
from coach.planning.slide.moment import Moment, NoteWay, articulate, find_returns
from coach.planning.slide.page_articulation import Begin
from coach.planning.slide.slide_costs import lay_stages
from coach.planning.slide.slide_settings import SlideSettings
from coach.planning.slide.slide_walk import Link, Stage

PLAIN = SlideSettings(
    dial_share=0.5,
    least_dial_share=1.0,
    acceleration_mps2=40.0,
    limit_mps2=60.0,
    swing_limit_mps2=70.0,
    move_share=1.0,
    still_cm=4.0,
    travel_per_cm_weight=0.0,
    break_share=0.5,
    turn_weight=0.0,
    hurry_weight=0.0,
    finger_weight=0.0,
    out_of_tune_per_cents_weight=0.0,
    soonest_s=0.01,
    quick_s=0.25,
    quick_most_factor=2.0,
    stroke_weight=0.0,
    legato_weight=0.0,
    smear_weight=0.0,
    no_glide_weight=0.0,
    skip_weight=0.0,
    alternate_weight=0.0,
    threshold_quick_s=0.25,
    rare_weight=0.0,
    taught_sum_partials=10,
    farthest_alternate_cm=52.0,
    rare_partials=(),
    far_from_cm=30.0,
    far_per_cm_weight=0.0,
    unwritten_weight=0.0,
    strong_weight=0.0,
    slowest_free_s=0.4,
    exception_weight=0.0,
    switch_weight=0.0,
    slur_speed_mps=1.25,
    leave_weight=0.0,
    leave_tongued_weight=0.0,
    leave_notes=4,
    longest_figure_notes=8,
)
B_FLAT = Placement("1", 0.0, 4, number=1)
A = Placement("2", 8.8, 4, number=2)
C = Placement("3", 16.8, 5, number=3)
FAR_C = Placement("6", 49.8, 6, number=6, is_alternate=True)


def moment(
    midi: int, *places: Placement, begin: Begin = Begin.OPEN, **changes: object
) -> Moment:
    ways = tuple(NoteWay(place, stroke) for place in places for stroke in (True, False))
    plain = Moment(ways, midi, begin, 0.25, 0.25, is_break=False, is_strong=False)
    plain = replace(plain, is_free=begin is Begin.OPEN)
    return replace(plain, **changes)  # type: ignore[arg-type]


def stage(before: Moment, after: Moment, dial: float = 0.0, **weights: float) -> Stage:
    return lay_stages([before, after], replace(PLAIN, **weights), dial)[1]  # type: ignore[arg-type]


def step(
    stage: Stage, choice: int, manner: Manner = Manner.TONGUED, before: int = 0
) -> Link:
    rows = stage.manners[manner if len(stage.manners) > 1 else 0]
    (found,) = [link for link in rows[before] if link.choice == choice]
    return found


def choices(stage: Stage, manner: Manner) -> list[int]:
    return [link.choice for link in stage.manners[manner][0]]


START = moment(58, B_FLAT, begin=Begin.TONGUE)
STRUCK, SLURRED = 0, 1


def test_centimetres_cost_more_the_quicker_the_note() -> None:
    slow = moment(60, C, ioi_s=0.5)
    at_once = moment(60, C, ioi_s=0.05)
    costs = [
        step(stage(START, m, travel_per_cm_weight=1.0), STRUCK).cost
        for m in (slow, moment(60, C), at_once)
    ]
    assert costs == pytest.approx([8.4, 16.8, 33.6])


def test_a_rest_makes_travel_cheap_and_has_no_direction() -> None:
    rested = moment(60, C, begin=Begin.TONGUE, is_break=True)
    found = step(stage(START, rested, travel_per_cm_weight=1.0), STRUCK)
    assert found.cost == pytest.approx(8.4)
    assert found.direction == 0


def test_hurry_counts_how_often_over_the_time_there_is() -> None:
    needs = move_time_s(16.8, 40.0)
    quick = moment(60, C, move_s=needs / 3)
    assert step(stage(START, quick, hurry_weight=1.0), STRUCK).cost == pytest.approx(2)
    assert step(stage(START, moment(60, C), hurry_weight=1.0), STRUCK).cost == 0.0


def test_the_slide_goes_out_or_in_or_stays() -> None:
    back = moment(58, B_FLAT, A)
    assert step(stage(START, moment(60, C)), STRUCK).direction == 1
    assert step(stage(moment(60, C), back), STRUCK).direction == -1
    near = moment(58, replace(B_FLAT, cm=3.0))
    assert step(stage(START, near), STRUCK).direction == 0


def test_only_a_clean_slur_goes_without_the_tongue() -> None:
    clean = stage(START, moment(60, C))
    smear = stage(START, moment(57, A))
    assert choices(clean, Manner.IN_SETS) == [STRUCK, SLURRED]
    assert choices(smear, Manner.IN_SETS) == [STRUCK]


def test_a_leap_over_partials_costs_the_lip() -> None:
    high = Placement("1", 0.2, 6, number=1)
    leap = stage(START, moment(65, high), skip_weight=1.0)
    slurred, struck = (step(leap, k, Manner.SLURRED) for k in (SLURRED, STRUCK))
    assert slurred.cost - struck.cost == pytest.approx(1.0)


def test_a_soft_stroke_that_hides_a_smear_costs_more() -> None:
    slurred = moment(57, A, begin=Begin.SLUR)
    found = step(stage(START, slurred, legato_weight=1.0, smear_weight=0.5), STRUCK)
    assert found.cost == pytest.approx(1.5)


def test_a_stroke_costs_and_a_soft_one_as_much_as_it_is_told() -> None:
    free, soft = moment(60, C), moment(60, C, begin=Begin.SOFT)
    weights = {"stroke_weight": 1.0, "legato_weight": 0.5}
    assert step(stage(START, free, **weights), STRUCK).cost == pytest.approx(1.0)
    assert step(stage(START, soft, **weights), STRUCK).cost == pytest.approx(0.5)


def test_out_of_tune_costs_by_the_cent() -> None:
    flat = moment(60, replace(C, cents=-13.7))
    found = step(stage(START, flat, out_of_tune_per_cents_weight=0.1), STRUCK)
    assert found.cost == pytest.approx(1.37)


def test_an_alternate_has_a_threshold_that_the_dial_lowers() -> None:
    """A quarter further down three times as dear, and at 0 dear but not forbidden."""
    weights = {"alternate_weight": 1.0, "least_dial_share": 0.1}
    costs = [
        step(stage(START, moment(60, FAR_C), dial, **weights), STRUCK).cost
        for dial in (0.0, 0.1, 0.25, 0.5, 0.75, 1.0)
    ]
    assert costs == pytest.approx([10.0, 9.0, 3.0, 1.0, 1 / 3, 0.0])


def test_the_threshold_of_an_alternate_grows_with_quick_notes_as_strokes_do() -> None:
    weights = {"alternate_weight": 1.0, "threshold_quick_s": 0.2}
    there, usual = (
        [
            step(stage(START, moment(60, place, ioi_s=ioi_s), **weights), STRUCK).cost
            for ioi_s in (0.1, 0.125, 0.2, 0.25, 0.5)
        ]
        for place in (FAR_C, C)
    )
    asked = [one - other for one, other in zip(there, usual, strict=True)]
    assert asked == pytest.approx([1.6, 1.6, 1.0, 1.0, 1.0])


def test_an_alternate_that_is_seldom_taught_must_buy_more() -> None:
    """C4 in sixth, not F3 in sixth, B flat 3 in fifth or any in fourth."""
    far_b_flat = Placement("5", 38.5, 5, number=5, is_alternate=True)
    far_f = Placement("6", 49.6, 4, number=6, is_alternate=True)
    high_a = Placement("4", 28.0, 9, number=4, is_alternate=True)
    asked = [
        step(stage(START, moment(60, place), rare_weight=1.0), STRUCK).cost
        for place in (FAR_C, far_b_flat, far_f, high_a)
    ]
    assert asked == [1.0, 0.0, 0.0, 0.0]


def test_an_alternate_far_out_costs_whatever_the_dial_says() -> None:
    found = step(stage(START, moment(60, FAR_C), 1.0, far_per_cm_weight=0.1), STRUCK)
    assert found.cost == pytest.approx(1.98)


def test_a_slur_that_nobody_wrote_costs_more_on_to_a_strong_note() -> None:
    weights = {"unwritten_weight": 1.0, "strong_weight": 2.0, "stroke_weight": 9.0}
    strong_c = moment(60, C, is_strong=True)
    weak = step(stage(START, moment(60, C), 0.5, **weights), SLURRED, Manner.IN_SETS)
    strong = step(stage(START, strong_c, 0.5, **weights), SLURRED, Manner.SLURRED)
    written = moment(60, C, begin=Begin.SLUR)
    assert weak.cost == pytest.approx(0.5)
    assert strong.cost == pytest.approx(1.5)
    assert step(stage(START, written, 0.5, **weights), SLURRED).cost == 0.0


def test_fingers_cost_each() -> None:
    one, three = Placement("1", None, 5, "1"), Placement("23", None, 4, "23")
    found = stage(moment(60, one), moment(55, three), finger_weight=1.0)
    assert step(found, STRUCK).cost == pytest.approx(3.0)
    assert step(stage(moment(60, one), moment(72, one)), STRUCK).cost == 0.0


def test_each_manner_slurs_what_it_is_named_for() -> None:
    weak, strong = moment(60, C), moment(60, C, is_strong=True)
    every = {
        manner: [choices(stage(START, m, 1.0), manner) for m in (weak, strong)]
        for manner in Manner
    }
    both = [STRUCK, SLURRED]
    assert every[Manner.TONGUED] == [[STRUCK], [STRUCK]]
    assert every[Manner.IN_SETS] == [both, [STRUCK]]
    assert every[Manner.SLURRED] == [both, both]


def test_a_stroke_where_the_passage_slurs_is_an_exception() -> None:
    weak = moment(60, C, ioi_s=0.2)
    found = stage(START, weak, exception_weight=1.0)
    struck, slurred = weak.ways
    assert step(found, STRUCK, Manner.TONGUED).cost == 0.0
    assert step(found, STRUCK, Manner.IN_SETS).cost == pytest.approx(1.25)
    assert step(found, SLURRED, Manner.IN_SETS).cost == 0.0
    assert weak.is_exception(struck, Manner.IN_SETS)
    assert not weak.is_exception(slurred, Manner.IN_SETS)
    assert not weak.is_exception(struck, Manner.TONGUED)


def test_a_passage_slurred_throughout_is_weighed_where_it_may_be_cheapest() -> None:
    """A stroke costs 2 at most; a strong slur 3, or with the dial half up 1.5."""
    weights = {"stroke_weight": 1.0, "strong_weight": 3.0}
    counted = [
        len(stage(START, moment(60, C), dial, **weights).manners) for dial in (0.0, 0.5)
    ]
    assert counted == [2, 3]


def test_the_page_leaves_no_manner_to_choose() -> None:
    bound = stage(START, moment(60, C, begin=Begin.TONGUE))
    assert len(bound.manners) == 1
    soft = moment(60, C, begin=Begin.SOFT, is_free=True)
    inside = stage(START, soft, 1.0)
    assert len(set(inside.manners)) == 1
    assert len(inside.manners) == len(Manner)


def test_a_pitch_struck_again_where_its_passage_slurs_is_an_exception() -> None:
    again = moment(60, C, begin=Begin.TONGUE, is_free=True)
    found = stage(START, again, exception_weight=1.0)
    assert step(found, STRUCK, Manner.TONGUED).cost == 0.0
    assert step(found, STRUCK, Manner.IN_SETS).cost == 1.0
    for other in ({"is_strong": True}, {"is_break": True}, {"is_free": False}):
        besides = stage(START, replace(again, **other), exception_weight=1.0)  # type: ignore[arg-type]
        assert {row[0][0].cost for row in besides.manners} == {0.0}


def test_another_manner_costs_and_sets_in_only_where_it_may() -> None:
    weights = {"switch_weight": 3.0, "turn_weight": 0.5}
    here = stage(START, moment(60, C, is_turn=True), **weights)
    assert here.switch_cost == 3.0
    assert stage(START, moment(60, C), **weights).switch_cost == inf
    assert here.turn_cost == pytest.approx(0.5)


def test_a_slur_that_nobody_wrote_is_only_for_an_arm_that_gets_there() -> None:
    """25 cm in 0.19 s is quicker than 1.25 m/s; 0.21 s is enough.

    And 8.8 cm at 60 metres a second squared takes 0.092 s: in 0.09 there is none.
    """
    far = Placement("4", 25.0, 6, number=4)
    for cm, ioi_s, is_slurred in (
        (25.0, 0.19, False),
        (25.0, 0.21, True),
        (8.8, 0.09, False),
        (8.8, 0.1, True),
    ):
        after = moment(65, replace(far, cm=cm), ioi_s=ioi_s)
        found = choices(stage(START, after), Manner.IN_SETS)
        assert (SLURRED in found) == is_slurred, (cm, ioi_s)
    written = moment(65, far, begin=Begin.SLUR, ioi_s=0.1)
    assert step(stage(START, written), SLURRED).choice == SLURRED


def test_a_pitch_is_held_against_where_it_was_just_before() -> None:
    two = moment(60, C, FAR_C)
    between = moment(57, A)
    notes = [two, between, two, between, between, two]
    assert find_returns(notes, 4) == (0, 0, 2, 0, 0, 3)
    assert find_returns(notes, 2) == (0, 0, 2, 0, 0, 0)
    rested = [two, replace(between, is_break=True), two]
    assert find_returns(rested, 4) == (0, 0, 0)
    stages = lay_stages(notes, replace(PLAIN, leave_weight=1.0), 0.0)
    assert stages[2].back == 2
    assert stages[2].leave_costs[Manner.IN_SETS] == pytest.approx(1.0)
    assert stages[2].places == ("3", "3", "6", "6")


def test_to_leave_a_place_is_dearer_where_no_slur_is_gained_by_it() -> None:
    notes = [moment(60, C, FAR_C), moment(57, A), moment(60, C, FAR_C)]
    leaving = replace(PLAIN, leave_weight=1.0, leave_tongued_weight=3.0)
    costs = lay_stages(notes, leaving, 0.5)[2].leave_costs
    assert costs[Manner.TONGUED] == pytest.approx(3.0)
    assert costs[Manner.IN_SETS] == pytest.approx(1.0)
    written = [replace(note, is_free=False) for note in notes]
    assert lay_stages(written, leaving, 0.5)[2].leave_costs == pytest.approx((1.0,))


def test_the_first_note_costs_by_itself() -> None:
    (first,) = lay_stages([START], replace(PLAIN, stroke_weight=1.0), 0.0)
    assert step(first, STRUCK).cost == pytest.approx(1.0)


def test_each_beginning_has_its_name() -> None:
    slurred = moment(60, C, begin=Begin.SLUR)
    struck, clean = NoteWay(C, is_stroke=True), NoteWay(C, is_stroke=False)
    old = NoteWay(B_FLAT, is_stroke=True)
    assert articulate(START, moment(60, C), old, struck) is Articulation.TONGUED
    assert articulate(START, slurred, old, struck) is Articulation.LEGATO_TONGUED
    assert articulate(START, slurred, old, clean) is Articulation.NATURAL_SLUR
