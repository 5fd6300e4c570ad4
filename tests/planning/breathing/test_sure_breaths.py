"""Sure and optional breaths."""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from dataclasses import replace

import pytest

from coach.planning.air.lungs import measured
from coach.planning.breathing.breath_places import lay_places
from coach.planning.breathing.breaths import BreathPlan, plan_breaths
from coach.planning.breathing.locks import NOTHING_LOCKED
from coach.planning.breathing.passage import Breather, Passage, set_passage
from coach.planning.breathing.search.breath_walk import walk
from coach.planning.breathing.settle_breaths import settle_breaths
from coach.planning.breathing.sure_breaths import find_sure
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import MILD, who


def test_a_breath_on_the_only_rest_is_sure_and_one_of_many_alike_is_not() -> None:
    part = part_of("F3q G3q A3q G3q F3q G3q A3h rh " + "F3q G3q A3q G3q " * 5)
    ends = [0.05] * (len(part.notes) - 1)
    ends[6] = 0.95
    passage, breather = set_passage(part, 72, ends), who(measured(3.5))
    plan = plan_breaths(passage, breather)
    told = find_sure(passage, breather, plan, NOTHING_LOCKED)
    sure = {breath.after_note: breath.is_sure for breath in told.breaths}
    assert sure[6]
    assert not all(sure.values())
    assert [b.after_note for b in told.breaths] == [b.after_note for b in plan.breaths]


def song(bpm: float) -> Passage:
    """Lay out a line with two kinds of places, alternating."""
    part = part_of("F3q G3q A3e Bb3e C4q D4h C4q Bb3h " * 4)
    ends = [0.3 if k % 3 else 0.6 for k in range(len(part.notes) - 1)]
    return set_passage(part, bpm, ends)


def test_a_breath_that_the_next_notch_of_tempo_moves_is_not_sure() -> None:
    shy = replace(MILD, unused_end_weight=2.5, unused_from_share=0.3)
    breather = replace(who(measured(5.0)), costs=replace(shy, clipped_s_weight=0.0))
    bpm = 84
    plan = plan_breaths(song(bpm), breather)
    told = find_sure(song(bpm), breather, plan, NOTHING_LOCKED)
    sure = {breath.after_note for breath in told.breaths if breath.is_sure}
    near = [plan_breaths(song(bpm + notch), breather) for notch in (-2, -1, 1, 2)]
    stand = [{breath.after_note for breath in other.breaths} for other in near]
    assert all(sure <= places for places in stand)
    assert sure

    only_far = replace(breather, costs=replace(breather.costs, sure_within_bpm=0))
    told = find_sure(song(bpm), only_far, plan, NOTHING_LOCKED)
    far = {breath.after_note for breath in told.breaths if breath.is_sure}
    assert not all(far <= places for places in stand), "the line tells them apart"


def told_of(passage: Passage, breather: Breather) -> BreathPlan:
    """Plan, and tell which breaths are sure and which are optional."""
    plan = plan_breaths(passage, breather)
    return find_sure(passage, breather, plan, NOTHING_LOCKED)


def lowest_without(
    passage: Passage, breather: Breather, skipped: AbstractSet[int]
) -> float:
    """Play just the other breaths, as planned, and tell the least air."""
    settled = settle_breaths(lay_places(passage, breather), NOTHING_LOCKED)
    others = [(k, way) for k, way in settled.walk.breaths if k not in skipped]
    return min(walk(settled.places, others).air_after)


def test_the_air_lasts_without_all_the_optional_breaths_and_no_other() -> None:
    """Tried by playing just the other breaths."""
    floor, a_step = who(measured(4.5)).costs.low_share, 0.01
    found = {True: 0, False: 0}
    alone_only = 0
    for bpm in (48, 56, 64, 72):
        for litres in (2.6, 3.0, 3.5, 4.5):
            passage, breather = song(bpm), who(measured(litres))
            told = told_of(passage, breather)
            optional = {b.after_note for b in told.breaths if b.is_optional}
            if optional:
                assert lowest_without(passage, breather, optional) >= floor - a_step
            for breath in told.breaths:
                if breath.is_sure:
                    assert not breath.is_optional
                    continue
                found[breath.is_optional] += 1
                if not breath.is_optional:
                    own = {breath.after_note}
                    least = lowest_without(passage, breather, optional | own)
                    assert least < floor + a_step
                    alone = lowest_without(passage, breather, own)
                    alone_only += alone >= floor + a_step
    assert min(found.values()) > 0, "each of the two has to be seen"
    assert alone_only > 0, "some the air lasts without, but not without all of them"


def test_a_breath_that_notes_are_left_out_for_is_never_optional() -> None:
    part = part_of("D4s F4s Eb4s C4s Bb3s D4s C4s A3s " * 24)
    passage = set_passage(part, 100, [0.05] * (len(part.notes) - 1))
    told = told_of(passage, who(measured(3.2)))
    assert told.left_out
    assert not all(breath.is_sure for breath in told.breaths)
    assert not any(breath.is_optional for breath in told.breaths)


class EnoughError(Exception):
    """Ends a look."""


def test_a_look_ends_before_its_next_plan_when_that_is_asked_for() -> None:
    """Its thread takes the processor from a plan that is waited for."""
    breather = who(measured(4.5))
    plan = plan_breaths(song(64), breather)
    looks: list[None] = []

    def only_twice() -> None:
        if len(looks) == 2:
            raise EnoughError
        looks.append(None)

    with pytest.raises(EnoughError):
        find_sure(song(64), breather, plan, NOTHING_LOCKED, only_twice)
    assert len(looks) == 2
