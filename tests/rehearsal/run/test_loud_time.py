"""How long a run is forte or louder."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.plan import Plan
from coach.rehearsal.run.loud_time import loud_until
from coach.score.tempo import Seconds
from tests.hand_made import part_of
from tests.hand_rehearsal import breath_by_hand, plan_by_hand

LOUDNESS = ((0.0, 0.0), (0.0, 2.0), (1.0, 1.0), (1.0, 0.0))
"""Mezzo-forte, a crescendo to fortissimo, forte, a diminuendo: a second each."""


def plan(*left_out: int) -> Plan:
    line = part_of("Bb2q C3q D3q Eb3q")
    notes = tuple(
        replace(note, loud_start=start, loud_end=end)
        for note, (start, end) in zip(line.notes, LOUDNESS, strict=True)
    )
    made = plan_by_hand(replace(line, notes=notes), [(0.9, 0.7)] * 4)
    if not left_out:
        return made
    breath = replace(breath_by_hand(1, 2.0, 4.0, (0.4, 0.8)), left_out=left_out)
    return replace(made, breaths=replace(made.breaths, breaths=(breath,)))


@pytest.mark.parametrize(
    ("end", "loud"), [(-2.0, 0.0), (1.0, 0.0), (1.5, 0.5), (4.0, 2.0), (9.0, 2.0)]
)
def test_only_what_is_forte_in_its_middle_and_was_reached_is_loud(
    end: float, loud: float
) -> None:
    assert loud_until(plan(), Seconds(end)) == pytest.approx(loud)


def test_a_note_that_is_left_out_is_silent() -> None:
    assert loud_until(plan(2), Seconds(4.0)) == pytest.approx(1.0)
