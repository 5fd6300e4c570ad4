"""One pass: its marks, its fingerprint, what counts as a fault."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import Run, fingerprint
from coach.score.tempo import Seconds
from tests.hand_made import part_of
from tests.hand_rehearsal import breath_by_hand, plan_by_hand

PLAN = plan_by_hand(part_of("Bb2q C3q D3q Eb3q F3w"), [(0.9, 0.8)] * 5)


def run(**given: Any) -> Run:
    values: dict[str, Any] = {
        "started": datetime(2025, 3, 3, tzinfo=UTC),
        "etude": "By Hand",
        "from_bar": 1,
        "to_bar": 2,
        "bpm": 60,
        "is_completed": False,
        "is_clean": False,
    }
    return Run(**{**values, **given})


def test_a_breath_more_or_less_is_no_fault() -> None:
    marks = tuple(Mark(kind, 1, 1.0, Seconds(0.0)) for kind in MarkKind)
    assert {mark.kind for mark in run(marks=marks).faults} == set(MarkKind) - {
        MarkKind.BREATHED,
        MarkKind.MISSED_BREATH,
    }


def test_a_run_was_played_once_a_bar_was_begun() -> None:
    assert not run().was_played
    assert run(reached_bar=1).was_played
    assert run(is_completed=True).was_played
    assert run(marks=(Mark(MarkKind.RUSHED, 1, 1.0, Seconds(0.0)),)).was_played


def test_a_fingerprint_is_the_plans_own() -> None:
    breath = breath_by_hand(1, 1.8, 2.0, (0.5, 0.9))
    with_breath = replace(PLAN, breaths=replace(PLAN.breaths, breaths=(breath,)))
    again = plan_by_hand(part_of("Bb2q C3q D3q Eb3q F3w"), [(0.9, 0.8)] * 5)
    assert fingerprint(PLAN) == fingerprint(again)
    others = {
        fingerprint(plan)
        for plan in (
            PLAN,
            with_breath,
            replace(PLAN, passage=PLAN.passage.at(61)),
            plan_by_hand(part_of("Bb2q C3q D3q E3q F3w"), [(0.9, 0.8)] * 5),
        )
    }
    assert len(others) == 4
