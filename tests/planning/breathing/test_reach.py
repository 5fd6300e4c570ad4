"""How far the air reaches: one breath by arithmetic, planned breaths by planning."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.air.lungs import Player, measured
from coach.planning.breathing.breaths import Locks, plan_breaths
from coach.planning.breathing.reach import Reach, find_reach, one_breath
from coach.score.phrase import Part
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import AIR, COSTS

PHRASE = part_of("F3q G3q A3q Bb3q C4h Bb3q A3q G3h F3h", bpm=72)
ENDS = (0.1, 0.1, 0.1, 0.1, 0.4, 0.1, 0.1, 0.3)


def reach_of(
    part: Part = PHRASE,
    bpms: tuple[float, ...] = (),
    shifts: tuple[float, ...] = (0.0,),
    player: Player | None = None,
) -> Reach:
    return find_reach(
        part,
        bpms=bpms,
        shifts=shifts,
        ends=ENDS,
        player=player or measured(4.5),
        air=AIR,
        costs=COSTS,
    )


class TestOneBreath:
    @pytest.mark.parametrize("shift", [-2.0, 0.0, 2.0])
    def test_at_the_slowest_tempo_it_just_lasts(self, shift: float) -> None:
        """Played at that tempo with no breath at all, the air ends where it must."""
        row = one_breath(PHRASE, shift, measured(4.5), AIR)
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
            plan = plan_breaths(
                part,
                part.at_tempo(bpm),
                ends=ENDS,
                player=measured(4.5),
                air=AIR,
                costs=COSTS,
                locks=forbidden,
            )
            assert plan.air_after[-1] == pytest.approx(level)

    def test_with_the_capacity_needed_the_goal_tempo_is_the_slowest(self) -> None:
        row = one_breath(PHRASE, 0.0, measured(4.5), AIR)
        fitted = one_breath(PHRASE, 0.0, measured(row.needed_l), AIR)
        assert fitted.slowest_bpm == pytest.approx(PHRASE.tempo.bpm)
        topped = one_breath(PHRASE, 0.0, measured(row.needed_on_top_half_l), AIR)
        assert topped.slowest_on_top_half_bpm == pytest.approx(PHRASE.tempo.bpm)

    def test_where_it_runs_out_is_named(self) -> None:
        row = one_breath(PHRASE, 1.0, measured(4.0), AIR)
        assert row.runs_out is not None
        assert row.leaves_top_half is not None
        assert 0 < row.leaves_top_half < row.runs_out < len(PHRASE.notes)
        easy = one_breath(PHRASE, -3.0, measured(7.0), AIR)
        assert (easy.runs_out, easy.leaves_top_half) == (None, None)

    def test_louder_needs_a_faster_tempo_and_more_capacity(self) -> None:
        rows = reach_of(shifts=(-2.0, 0.0, 2.0)).rows
        assert [row.shift_steps for row in rows] == [-2.0, 0.0, 2.0]
        assert rows[0].slowest_bpm < rows[1].slowest_bpm < rows[2].slowest_bpm
        assert rows[0].needed_l < rows[1].needed_l < rows[2].needed_l

    def test_tongue_and_arm_shorten_it(self) -> None:
        plain = one_breath(PHRASE, 0.0, measured(4.5), AIR)
        worked = one_breath(PHRASE, 0.0, measured(4.5), AIR, effort=[1.1] * 9)
        assert worked.slowest_bpm == pytest.approx(1.1 * plain.slowest_bpm)


class TestPlanned:
    def test_slower_practice_needs_more_breaths(self) -> None:
        reach = reach_of(bpms=(120.0, 40.0, 72.0))
        assert [point.bpm for point in reach.points] == [40.0, 72.0, 120.0]
        counts = [point.breaths for point in reach.points]
        assert counts[0] > counts[1] >= counts[2]
        assert all(0.0 <= point.below_half_share <= 1.0 for point in reach.points)
        assert reach.goal_bpm == 72.0
        assert reach.slowest_planned_bpm == 40.0

    def test_where_no_plan_works_below_a_tempo_that_tempo_is_told(self) -> None:
        run = part_of("F3s G3s A3s Bb3s " * 16 + "F3q", bpm=72)
        reach = find_reach(
            run,
            bpms=(45.0, 110.0, 160.0),
            shifts=(),
            ends=(0.05,) * 64,
            player=measured(3.0),
            air=AIR,
            costs=COSTS,
        )
        dry = [point.runs_out is not None for point in reach.points]
        assert dry == [False, True, False]
        assert reach.slowest_planned_bpm == 160.0
        assert reach.rows == ()

    def test_where_every_plan_runs_out_there_is_no_tempo(self) -> None:
        note = part_of("F3w F3w", bpm=60)
        reach = find_reach(
            note,
            bpms=(10.0, 15.0),
            shifts=(),
            ends=(0.1,),
            player=measured(3.0),
            air=AIR,
            costs=COSTS,
        )
        assert reach.slowest_planned_bpm is None
