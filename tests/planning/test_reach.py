"""How far the air reaches: one breath by arithmetic, planned breaths by planning."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.air.lungs import Player, measured
from coach.planning.breathing.breaths import plan_breaths
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import set_passage
from coach.planning.breathing.sure_breaths import find_sure
from coach.planning.reach import Reach, find_reach, one_breath
from coach.score.phrase import Part
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import AIR, who

PHRASE = part_of("F3q G3q A3q Bb3q C4h Bb3q A3q G3h F3h", bpm=72)
ENDS = (0.1, 0.1, 0.1, 0.1, 0.4, 0.1, 0.1, 0.3)
PASSAGE = set_passage(PHRASE, 72, ENDS)


def reach_of(
    part: Part = PHRASE,
    bpms: tuple[float, ...] = (),
    shifts: tuple[float, ...] = (0.0,),
    player: Player | None = None,
) -> Reach:
    return find_reach(
        set_passage(part, part.tempo.bpm, ENDS),
        who(player or measured(4.5)),
        bpms=bpms,
        shifts=shifts,
    )


class TestOneBreath:
    @pytest.mark.parametrize("shift", [-2.0, 0.0, 2.0])
    def test_at_the_slowest_tempo_it_just_lasts(self, shift: float) -> None:
        """Played at that tempo with no breath at all, the air ends where it must."""
        row = one_breath(PASSAGE, shift, who(measured(4.5)))
        forbidden = Locks(must_not=frozenset(range(8)))
        part = replace(
            PHRASE,
            notes=tuple(
                replace(note, loud_start=shift, loud_end=shift) for note in PHRASE.notes
            ),
        )
        for bpm, level in (
            (row.slowest_bpm, AIR.empty_share),
            (row.slowest_on_top_half_bpm, AIR.half_share),
        ):
            passage = set_passage(part, bpm, ENDS)
            plan = plan_breaths(passage, who(measured(4.5)), forbidden)
            assert plan.air_after[-1] == pytest.approx(level)

    def test_with_the_capacity_needed_the_goal_tempo_is_the_slowest(self) -> None:
        row = one_breath(PASSAGE, 0.0, who(measured(4.5)))
        fitted = one_breath(PASSAGE, 0.0, who(measured(row.needed_l)))
        assert fitted.slowest_bpm == pytest.approx(PHRASE.tempo.bpm)

    def test_where_it_runs_out_is_named(self) -> None:
        row = one_breath(PASSAGE, 1.0, who(measured(4.0)))
        used = who(measured(4.0))
        plan = plan_breaths(
            PASSAGE.louder(1.0),
            used,
            Locks(must_not=frozenset(range(len(PHRASE.notes))), may_leave_out=False),
        )
        assert plan.runs_out is not None
        assert row.runs_out == plan.dry_place(plan.runs_out)
        easy = one_breath(PASSAGE, -3.0, who(measured(7.0)))
        assert easy.runs_out is None

    def test_louder_needs_a_faster_tempo_and_more_capacity(self) -> None:
        rows = reach_of(shifts=(-2.0, 0.0, 2.0)).rows
        assert [row.shift_steps for row in rows] == [-2.0, 0.0, 2.0]
        assert rows[0].slowest_bpm < rows[1].slowest_bpm < rows[2].slowest_bpm
        assert rows[0].needed_l < rows[1].needed_l < rows[2].needed_l

    def test_tongue_and_arm_shorten_it(self) -> None:
        plain = one_breath(PASSAGE, 0.0, who(measured(4.5)))
        worked = one_breath(PASSAGE.worked([1.1] * 9), 0.0, who(measured(4.5)))
        assert worked.slowest_bpm == pytest.approx(1.1 * plain.slowest_bpm)


class TestPlanned:
    def test_slower_practice_needs_more_breaths(self) -> None:
        reach = reach_of(bpms=(120.0, 24.0, 72.0))
        assert [point.bpm for point in reach.points] == [24.0, 72.0, 120.0]
        counts = [point.breaths for point in reach.points]
        assert counts[0] > counts[1] >= counts[2]
        assert all(0.0 <= point.below_half_share <= 1.0 for point in reach.points)
        assert reach.goal_bpm == 72.0

    def test_the_edge_of_the_top_half_is_found_between_the_tempi_asked_for(
        self,
    ) -> None:
        reach = reach_of(bpms=(40.5, 160.5, 200.0))
        edge = reach.top_half_from_bpm
        assert edge is not None
        assert 40.5 < edge < 160.5
        assert [point.bpm for point in reach.upheld()] == [160.5, 200.0]
        lowest = [
            plan_breaths(PASSAGE.at(bpm), who(measured(4.5))).lowest_air
            for bpm in (edge, edge - 1.0)
        ]
        assert lowest[0] >= reach.half_air > lowest[1]

    def test_no_edge_is_looked_for_beyond_the_tempi_asked_for(self) -> None:
        assert reach_of(bpms=(160.0, 200.0)).top_half_from_bpm is None
        assert reach_of(bpms=(30.0,)).top_half_from_bpm is None

    def test_an_edge_goes_no_further_than_the_next_tempo(self) -> None:
        edge = reach_of(bpms=(30.0, 199.5, 200.0)).top_half_from_bpm
        assert edge is not None
        both = reach_of(bpms=(edge - 1.0, edge))
        assert both.top_half_from_bpm == edge

    def test_each_tempo_says_whether_its_plan_works(self) -> None:
        run = part_of("F3s G3s A3s Bb3s " * 16 + "F3q", bpm=72)
        passage = set_passage(run, run.tempo.bpm, (0.05,) * 64)
        locks = Locks(may_leave_out=False)
        reach = find_reach(
            passage,
            who(measured(2.0)),
            bpms=(45.0, 110.0, 160.0),
            shifts=(),
            locks=locks,
        )
        dry = [point.runs_out is not None for point in reach.points]
        plan = plan_breaths(passage.at(110.0), who(measured(2.0)), locks)
        assert reach.points[1].runs_out == plan.dry_places[0]
        assert dry == [False, True, False]
        assert [point.works for point in reach.points] == [True, False, True]
        assert reach.rows == ()

    def test_of_the_breaths_at_the_goal_those_in_brackets_are_told(self) -> None:
        """As the plan itself brackets them."""
        song = part_of("F3q G3q A3e Bb3e C4q D4h C4q Bb3h " * 4, bpm=72)
        ends = [0.3 if k % 3 else 0.6 for k in range(len(song.notes) - 1)]
        passage, breather = set_passage(song, 72, ends), who(measured(4.5))
        slower, goal = find_reach(passage, breather, bpms=(48, 72), shifts=()).points
        plan = find_sure(passage, breather, plan_breaths(passage, breather), Locks())
        assert goal.optional == sum(breath.is_optional for breath in plan.breaths) > 0
        assert slower.optional == 0
