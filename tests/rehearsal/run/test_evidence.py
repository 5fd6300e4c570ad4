"""What a run asked of the lungs, as the page has it."""

from __future__ import annotations

from dataclasses import replace

from coach.planning.edits import Edits
from coach.rehearsal.run.evidence import TakenBreath, evidence_of
from tests.hand_made import part_of
from tests.hand_rehearsal import HandPlanner, breath_by_hand, plan_by_hand, short

PLAN = plan_by_hand(
    part_of("Bb2q C3q rh D3h Eb3h", loud=1.0),
    [(0.9, 0.7), (0.7, 0.4), (0.8, 0.6), (0.6, 0.2)],
    (
        breath_by_hand(1, 2.0, 4.0, (0.4, 0.8)),
        breath_by_hand(2, 5.7, 6.0, (0.6, 0.7), "catch"),
    ),
)
NONE: frozenset[int] = frozenset()


def test_notes_are_kept_as_the_page_and_the_clock_have_them() -> None:
    notes = evidence_of(PLAN, NONE, NONE).notes
    assert [note.midi for note in notes] == [46, 48, 50, 51]
    assert [note.start_s for note in notes] == [0.0, 1.0, 4.0, 6.0]
    assert [note.written_s for note in notes] == [1.0, 1.0, 2.0, 2.0]
    assert {note.loud_start for note in notes} == {1.0}
    assert {note.stroke for note in notes} == {"tongued"}


def test_a_real_plan_keeps_the_way_of_the_arm_and_the_written_signs() -> None:
    planner = HandPlanner()
    part = short()
    accented = replace(part.notes[0], articulations=frozenset({"accent"}))
    part = replace(part, notes=(accented, *part.notes[1:]))
    plan = planner.plan(part, 60, Edits())
    evidence = evidence_of(plan, NONE, NONE)
    assert [note.moved_cm for note in evidence.notes] == list(
        plan.slide.travel_by_note_cm
    )
    assert evidence.notes[0].signs == {"accent"}


def test_planned_breaths_count_unless_they_were_missed() -> None:
    both = evidence_of(PLAN, NONE, NONE).breaths
    assert both == (TakenBreath(1, 2.0, 4.0), TakenBreath(2, 5.7, 6.0))
    assert evidence_of(PLAN, NONE, frozenset({1})).breaths == both[1:]


def test_a_gasp_and_what_is_left_out_for_it_are_kept() -> None:
    breath = replace(PLAN.breaths.breaths[0], is_gasp=True, left_out=(2,))
    plan = replace(PLAN, breaths=replace(PLAN.breaths, breaths=(breath,)))
    (taken,) = evidence_of(plan, NONE, NONE).breaths
    assert (taken.is_gasp, taken.left_out) == (True, 1)


def test_a_breath_that_was_not_planned_takes_the_time_between_its_notes() -> None:
    plan = replace(PLAN, breaths=replace(PLAN.breaths, breaths=()))
    taken = evidence_of(plan, frozenset({2, 1}), NONE).breaths
    assert taken == (TakenBreath(1, 2.0, 4.0), TakenBreath(2, 6.0, 6.0))
