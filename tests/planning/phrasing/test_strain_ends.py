"""Where a repeat sign turns the player back."""

from __future__ import annotations

from dataclasses import replace

from coach.planning.air.lungs import measured
from coach.planning.breathing.breath_places import lay_places
from coach.planning.breathing.breaths import plan_breaths
from coach.planning.breathing.passage import set_passage
from coach.planning.phrasing.phrasing import phrase_ends
from coach.planning.phrasing.strain_ends import find_strain_ends
from coach.score.tempo import beats
from tests.hand_made import part_of, played
from tests.planning.breathing.breath_oracle import COSTS, who

STRAIN = "F3q G3q A3q G3q F3q A3q G3q F3q "


def test_a_page_without_repeats_has_no_strain_ends() -> None:
    assert find_strain_ends(part_of(STRAIN * 2)) == frozenset()


def test_a_strain_ends_in_each_pass_and_at_the_end_of_all_in_none() -> None:
    once_more = played(STRAIN * 2, [1, 2, 1, 2, 3, 4])
    assert find_strain_ends(once_more) == {7, 15}
    assert find_strain_ends(played(STRAIN, [1, 2, 1, 2])) == {7}
    assert find_strain_ends(played(STRAIN, [1, 1, 2])) == {3, 7}


def test_a_note_that_is_tied_over_the_repeat_sign_ends_no_strain() -> None:
    part = played(STRAIN, [1, 2, 1, 2])
    notes = list(part.notes)
    notes[7] = replace(notes[7], length=beats(2))
    del notes[8]
    assert find_strain_ends(replace(part, notes=tuple(notes))) == frozenset()


def test_a_strain_without_rest_or_longer_note_is_breathed_at_its_end() -> None:
    """Common practice, no published source."""
    part = played("F3q G3q A3q G3q " * 6, [1, 2, 3, 1, 2, 3, 4, 5, 6])
    ends = phrase_ends(part)
    assert min(ends[11], ends[23]) >= 0.9
    passage = set_passage(part, 60, ends)
    plan = plan_breaths(passage, who(measured(4.0)))
    assert {11, 23} <= {breath.after_note for breath in plan.breaths}

    dear, free = (
        lay_places(passage, replace(who(measured(4.0)), costs=costs)).gaps
        for costs in (COSTS, replace(COSTS, unused_strain_weight=0.0))
    )
    price = [a.going_on_cost - b.going_on_cost for a, b in zip(dear, free, strict=True)]
    assert {k for k, more in enumerate(price) if more > 0.0} == {11, 23}
