"""What is tried as a way out is what the player gets who takes it up."""

from __future__ import annotations

from dataclasses import replace

from coach.config import read_settings
from coach.planning.air.lungs import measured
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import set_passage
from coach.planning.breathing.ways_out import WaysOutSettings, find_ways_out
from coach.planning.edits import Edits
from coach.planning.plan import make_plan
from coach.planning.trial_plans import full_trials
from tests.hand_made import part_of
from tests.hand_rehearsal import performer

SETTINGS = read_settings(WaysOutSettings, "ways_out")


def test_each_way_out_gets_through_with_the_arm_and_tongue_of_its_own() -> None:
    part = part_of("D3w Bb2w F2w C3q", bpm=40, loud=2.0)
    passage = set_passage(part, 40, [0.1] * (len(part.notes) - 1))
    who, edits = performer(measured(3.5)), Edits(dynamic_shift=1.0)
    plan = make_plan(passage, who, edits)
    assert plan.breaths.runs_out is not None
    trials = full_trials(who, edits)
    found = find_ways_out(plan.passage, who.breather, plan.breaths, trials, SETTINGS)
    ways = {way.do: way for way in found}
    softer = replace(edits, dynamic_shift=1.0 - ways["softer"].amount)
    if ways["softer"].bars == "all":
        assert make_plan(passage, who, softer).breaths.runs_out is None
    larger = replace(who, player=measured(ways["lungs"].amount))
    assert make_plan(passage, larger, edits).breaths.runs_out is None


def test_a_bar_stretched_for_a_breath_and_notes_left_out_are_tried_as_well() -> None:
    """What comes after it lies later than any beat of the page."""
    part = part_of("F3s G3s A3s G3s " * 24, bpm=72)
    passage = set_passage(part, 72, [0.1] * (len(part.notes) - 1))
    who, edits = performer(measured(4.5)), Edits(locks=Locks(may_leave_out=False))
    plan = make_plan(passage, who, edits)
    assert plan.breaths.runs_out is not None
    trials = full_trials(who, edits)
    found = find_ways_out(plan.passage, who.breather, plan.breaths, trials, SETTINGS)
    assert "stretch" in {way.do for way in found}
    free = make_plan(passage, who, Edits())
    assert free.breaths.runs_out is None
    fewer = {way.do: way for way in found}["leave_out"]
    assert fewer.amount == len(free.breaths.left_out) > 0
