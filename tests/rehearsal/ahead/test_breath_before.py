"""After a run that ran out the next one is told where to take more air."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.breath_place import BreathPlace
from coach.rehearsal.ahead.outlook import Ahead, Outlook
from coach.rehearsal.run.mark_kinds import MarkKind
from tests.rehearsal.review.test_ladder import HERE, ask, failing, mark, run

PLACES = (BreathPlace(5, 3.0, is_on=False), BreathPlace(7, 2.0, is_on=True))
PLANNED = replace(
    HERE, outlook=Outlook(lambda _, __: Ahead(0.3, None, (5, 7), 4.0, 0.5, PLACES))
)


@pytest.mark.parametrize(
    ("beat", "says"),
    [
        (1.0, ", and fill right up after bar 5, beat 3."),
        (2.0, ", and fill right up after bar 5, beat 3."),
        (3.0, ", and fill right up at bar 7, beat 2."),
    ],
)
def test_one_run_that_ran_out_names_the_breath_before_it(
    beat: float, says: str
) -> None:
    out = replace(mark(MarkKind.RAN_OUT), bar=7, beat=beat)
    (failed,) = failing(3, marks=(out,))
    assert ask(failed, here=PLANNED).why == (
        f"Not clean yet (ran out in bar 7): once more at 84{says}"
    )


def test_where_no_breath_lies_before_it_the_first_is_meant() -> None:
    out = replace(mark(MarkKind.RAN_OUT), bar=5, beat=2.0)
    why = ask(*failing(3, marks=(out,)), here=PLANNED).why
    assert why.endswith("at 84, and fill right up before the first note.")


def test_a_breath_that_was_missed_is_what_to_take() -> None:
    out = replace(mark(MarkKind.RAN_OUT), bar=7, beat=1.0)
    missed = replace(mark(MarkKind.MISSED_BREATH), bar=5)
    why = ask(*failing(3, marks=(missed, out)), here=PLANNED).why
    assert why.endswith("at 84, and take the breath in bar 5.")


def test_of_what_nobody_knows_or_went_wrong_otherwise_nothing_is_added() -> None:
    rushed = failing(3, marks=(mark(MarkKind.RUSHED),))
    assert ask(*rushed, here=PLANNED).why.endswith("once more at 84.")
    assert ask(*failing(3, marks=(mark(MarkKind.RAN_OUT),))).why.endswith("at 84.")
    later = failing(3, marks=(mark(MarkKind.RAN_OUT),))
    assert "fill" not in ask(*later, run(2), here=PLANNED).why
