"""What a player would call absurd: to need more air for less, or more when faster.

Breaths are chosen by cost, not by number, and one that moves to a better place may
bring another with it; more than that one is never needed.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.planning.air.lungs import measured
from coach.planning.breathing.breaths import BreathPlan, plan_breaths
from coach.planning.breathing.passage import Passage, set_passage
from coach.score.phrase import Part
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import AIR, parts, who

LITRES = st.sampled_from((3.0, 4.5, 6.0))


def passage_of(part: Part, bpm: float) -> Passage:
    """Let every fifth note end a phrase."""
    count = len(part.notes) - 1
    return set_passage(part, bpm, [0.3 if k % 5 else 0.8 for k in range(count)])


A_HAIR_S = 1e-6
"""Far below any rest."""


def taken_off_rests(plan: BreathPlan) -> int:
    """Count the breaths with no rest at all; one may be longer than its rest.

    Nor have those one that leave out notes.
    """
    return sum(
        bool(breath.left_out)
        or breath.taken >= breath.next_note - breath.start - A_HAIR_S
        for breath in plan.breaths
    )


@settings(max_examples=30, deadline=None)
@given(parts(most_notes=20), st.floats(50, 145), st.floats(1.0, 1.1), LITRES)
def test_faster_never_needs_more_breaths(
    part: Part, bpm: float, faster: float, litres: float
) -> None:
    passage, player = passage_of(part, bpm), who(measured(litres))
    plan, sooner = (
        plan_breaths(p, player) for p in (passage, passage.at(bpm * faster))
    )
    assert len(sooner.breaths) <= len(plan.breaths) + 1


@settings(max_examples=30, deadline=None)
@given(parts(most_notes=20), st.floats(50, 160), st.floats(0.0, 3.0), LITRES)
def test_softer_never_needs_more_breaths(
    part: Part, bpm: float, steps: float, litres: float
) -> None:
    passage, player = passage_of(part, bpm), who(measured(litres))
    plan, softer = (plan_breaths(p, player) for p in (passage, passage.louder(-steps)))
    assert taken_off_rests(softer) <= taken_off_rests(plan) + 1
    assert plan.runs_out is not None or softer.runs_out is None


@settings(max_examples=30, deadline=None)
@given(parts(most_notes=20), st.floats(40, 180), st.floats(0.8, 6.0))
def test_air_stays_between_nothing_and_all_of_it(
    part: Part, bpm: float, litres: float
) -> None:
    plan = plan_breaths(passage_of(part, bpm), who(measured(litres)))
    levels = (*plan.air_before, *plan.air_after)
    assert AIR.empty_share <= min(levels)
    assert max(levels) <= AIR.full_share + 1e-9


@pytest.mark.parametrize("length", ["s", "e"])
def test_there_is_no_tempo_at_which_unbroken_notes_cannot_be_breathed(
    length: str,
) -> None:
    line = part_of(
        " ".join(f"{name}{length}" for name in ("F3", "G3", "A3", "Bb3") * 54)
    )
    player = who(measured(4.5))
    tempi = range(60, 161, 10)
    plans = [plan_breaths(passage_of(line, bpm), player) for bpm in tempi]
    assert all(plan.breaths and plan.runs_out is None for plan in plans)
    counts = [len(plan.breaths) for plan in plans]
    assert max(after - before for before, after in pairwise(counts)) <= 1
