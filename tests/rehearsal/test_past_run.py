"""A run that was played before the coach heard of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from coach.edges.log.log_file import IN_MEMORY
from coach.edges.log.run_log import RunLogFile
from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.hearing.heard import (
    Heard,
    HeardBreath,
    PassedOver,
    RanOut,
    ToldAgainst,
)
from coach.rehearsal.hearing.heard_marks import heard_marks
from coach.rehearsal.past_run import PastRun, is_clean_by_ear
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.playing import Like
from coach.rehearsal.run.run import Run
from coach.rehearsal.stand.wishes import RunWishes
from coach.score.tempo import Seconds
from coach.wiring.rehearsal_numbers import read_rehearsal_settings
from tests.hand_heard import TELLING, heard_by_hand
from tests.hand_rehearsal import NINE_IN_THE_MORNING, HandPlanner, long

NOTE = "heard in take.wav"


@pytest.fixture
def log() -> Iterator[RunLogFile]:
    with RunLogFile(IN_MEMORY) as log:
        yield log


@pytest.fixture
def past(log: RunLogFile) -> PastRun:
    return PastRun(
        long(),
        HandPlanner(),
        log,
        lambda: NINE_IN_THE_MORNING,
        RunWishes(bpm=60, from_bar=1, to_bar=16, click=ClickWishes()),
        read_rehearsal_settings(),
    )


def keep(past: PastRun, heard: Heard) -> Run:
    marks = heard_marks(past.plan, heard, TELLING)
    return past.keep(heard, marks, NOTE, TELLING)


def test_a_run_without_fault_is_kept_as_clean(past: PastRun, log: RunLogFile) -> None:
    run = keep(past, heard_by_hand(past.plan))
    assert (run.is_completed, run.is_clean, run.marks) == (True, True, ())
    assert log.list_runs() == (run,)
    assert past.find_kept(NOTE) == run
    assert past.find_kept("heard in another.wav") is None


def test_marks_are_kept_as_the_microphone_s(past: PastRun) -> None:
    run = keep(past, heard_by_hand(past.plan, ran_out=RanOut(40, Seconds(11.0))))
    assert [(mark.kind, mark.by) for mark in run.marks] == [("ran-out", "microphone")]
    assert run.is_clean is False


def test_breaths_that_were_heard_are_what_is_learned_from(
    past: PastRun, log: RunLogFile
) -> None:
    plan = past.plan
    planned = plan.breaths.breaths[0]
    free = next(
        gap
        for gap in range(planned.following, len(plan.times) - 1)
        if gap not in {breath.after_note for breath in plan.breaths.breaths}
        and plan.part.notes[gap].end == plan.part.notes[gap + 1].onset
    )
    time = plan.times[free].end
    others = heard_by_hand(plan).breaths[1:]
    extra = HeardBreath(free, Seconds(time - 0.2), time, False)
    run = keep(past, heard_by_hand(plan, breaths=(*others, extra)))
    assert sorted(mark.kind for mark in run.marks) == [
        MarkKind.BREATHED,
        MarkKind.MISSED_BREATH,
    ]
    (played,) = log.list_played(1, Like("", "tenor-trombone"))
    taken = [breath.after_note for breath in played.evidence.breaths]
    assert free in taken
    assert planned.after_note not in taken


def test_a_run_that_stopped_is_kept_as_cut_off(past: PastRun) -> None:
    run = keep(past, heard_by_hand(past.plan, stopped=Seconds(9.0)))
    assert (run.is_completed, run.reached_bar, run.lasted) == (False, 3, 9.0)


@pytest.mark.parametrize(
    "changes",
    [
        {"confidence": 0.6},
        {"stopped": Seconds(9.0)},
        {"began_again": (12,)},
        {"passed_over": (PassedOver(0, 3, is_repeat=False),)},
        {"told_against": ToldAgainst.OWN_AVERAGE},
    ],
)
def test_what_the_ear_is_not_sure_of_it_does_not_call_clean(
    past: PastRun, changes: dict[str, Any]
) -> None:
    heard = heard_by_hand(past.plan)
    assert is_clean_by_ear(heard, (), TELLING) is True
    assert is_clean_by_ear(replace(heard, **changes), (), TELLING) is None
