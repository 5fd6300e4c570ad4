"""Sure and optional breaths."""

from __future__ import annotations

from dataclasses import replace

from coach.planning.air.lungs import measured
from coach.planning.breathing.breaths import plan_breaths
from coach.planning.breathing.locks import NOTHING_LOCKED
from coach.planning.breathing.passage import Passage, set_passage
from coach.planning.breathing.sure_breaths import find_sure
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import who


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
    shy = replace(who(measured(4.5)).costs, unused_end_weight=2.5)
    breather = replace(who(measured(4.5)), costs=replace(shy, unused_from_share=0.3))
    bpm = 64
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
