"""Sure and optional breaths."""

from __future__ import annotations

from coach.planning.air.lungs import measured
from coach.planning.breathing.breaths import plan_breaths
from coach.planning.breathing.locks import NOTHING_LOCKED
from coach.planning.breathing.passage import set_passage
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
