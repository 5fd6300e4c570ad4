"""One player's plans: what was asked for once is planned the same again."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from coach.planning.breathing.locks import Locks
from coach.planning.breathing.ways_out import WaysOutSettings
from coach.planning.edits import Edits
from coach.planning.way_out import WayOut
from coach.score.segment import cut_bars
from coach.wiring import player_planner
from coach.wiring.player_planner import PlayerPlanner
from tests.hand_made import part_of
from tests.score.abc.abc_samples import part_of as abc_part

LINE = part_of("F3q G3q A3e Bb3e C4q D4q C4e Bb3e A3q G3q " * 6)
PLAIN = Edits(dynamic_shift=2.0)


def test_undoing_an_edit_brings_back_the_plan_before_it_to_the_note() -> None:
    planner = PlayerPlanner()
    plan = planner.plan(LINE, 100.0, PLAIN)
    for asked in range(5, 55, 4):
        edits = replace(PLAIN, locks=Locks(must=frozenset({asked})))
        edited = planner.plan(LINE, 100.0, edits, plan)
        assert asked in {breath.after_note for breath in edited.breaths.breaths}
        assert planner.plan(LINE, 100.0, PLAIN, edited) == plan


def test_other_lungs_are_planned_for_anew() -> None:
    planner = PlayerPlanner()
    plan = planner.plan(LINE, 80.0, PLAIN)
    planner.learn_from(None)
    assert planner.plan(LINE, 80.0, PLAIN) is not plan


def test_another_tempo_is_planned_at_that_tempo() -> None:
    planner = PlayerPlanner()
    plans = [planner.plan(LINE, bpm, PLAIN) for bpm in (100.0, 80.0)]
    assert [plan.passage.bpm for plan in plans] == [100.0, 80.0]
    assert plans[0].times[-1].end < plans[1].times[-1].end


def test_the_table_of_tempi_counts_the_breaths_that_each_tempo_is_planned_with() -> (
    None
):
    planner = PlayerPlanner()
    line = replace(LINE, tempo=replace(LINE.tempo, bpm=100.0))
    bpms = (50.0, 60.0, 70.0, 80.0, 100.0)
    points = planner.reach(line, bpms, PLAIN).points
    plans = [planner.plan(line, bpm, PLAIN) for bpm in bpms]
    assert [p.breaths for p in points] == [len(p.breaths.breaths) for p in plans]


@pytest.mark.parametrize("bpm", [100.0, 232.0])
def test_no_tempo_is_offered_that_no_run_can_have(
    monkeypatch: pytest.MonkeyPatch, bpm: float
) -> None:
    """A run has 400 beats a minute at most; twice 232 would be more."""
    asked: list[WaysOutSettings] = []

    def ask(*given: Any) -> tuple[WayOut, ...]:
        asked.append(given[-1])
        return ()

    monkeypatch.setattr(player_planner, "find_ways_out", ask)
    planner = PlayerPlanner()
    part = part_of("F3w G3w", bpm=bpm)
    planner.ways_out(planner.plan(part, bpm, Edits()), Edits())
    tried = [round(bpm * share) for share in asked[0].tried_tempo_share]
    assert min(tried) < bpm < max(tried) <= 400
    assert (max(tried) == 2 * bpm) is (bpm < 200)


def test_no_tempo_is_offered_that_no_tongue_can_play() -> None:
    """Double tonguing reaches 11.7 notes a second (from memory): sixteenths at 176."""
    long_note = "!fff!" + "B,16-|" * 7 + "B,16|"
    sixteenths = "B,CDEFEDCB,CDEFEDC|" * 4
    head = "X:1\nM:4/4\nL:1/16\nQ:1/4=200\nK:Bb clef=bass\n"
    part = abc_part(f"{head}{long_note}{sixteenths}\n")
    planner = PlayerPlanner()
    plan = planner.plan(part, 200.0, Edits())
    assert plan.breaths.runs_out is not None
    faster = [
        way.amount
        for way in planner.ways_out(plan, Edits())
        if way.do == "tempo" and way.amount > plan.bpm
    ]
    assert faster == []


def test_a_segment_that_was_planned_alone_takes_its_ends_from_the_whole() -> None:
    planner = PlayerPlanner()
    segment = cut_bars(LINE, 3, 5).part
    alone = planner.plan(segment, 80.0, PLAIN).passage.ends
    planner.hear_whole(LINE)
    first = [note.bar for note in LINE.notes].index(segment.notes[0].bar)
    in_whole = planner.phrase_ends(LINE)[first : first + len(segment.notes) - 1]
    assert planner.plan(segment, 80.0, PLAIN).passage.ends == in_whole != alone
