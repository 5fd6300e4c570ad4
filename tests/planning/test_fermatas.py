"""Fermatas: held for longer, and nothing else is moved."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.fermatas import hold_fermatas
from coach.score.phrase import Part, time_notes
from coach.score.tempo import TempoMap, TempoMark, beats
from tests.hand_made import part_of


def held_part(*held: int) -> Part:
    part = part_of("F3q G3q A3h F3q G3q F3h", bpm=60)
    notes = [replace(n, has_fermata=k in held) for k, n in enumerate(part.notes)]
    return replace(part, notes=tuple(notes))


def lengths(part: Part) -> list[float]:
    times = time_notes(part, part.at_tempo(60))
    return [time.end - time.start for time in times]


def test_a_part_without_a_fermata_is_left_alone() -> None:
    part = held_part()
    assert hold_fermatas(part, 1.5) is part
    assert hold_fermatas(held_part(2), 1.0).tempo_map == part.tempo_map


def test_a_held_note_is_longer_and_the_others_are_not() -> None:
    assert lengths(hold_fermatas(held_part(2, 5), 1.5)) == pytest.approx(
        [1.0, 1.0, 3.0, 1.0, 1.0, 3.0]
    )


def test_two_in_a_row_are_both_held() -> None:
    assert lengths(hold_fermatas(held_part(0, 1), 2.0))[:3] == pytest.approx([2, 2, 2])


def test_a_new_speed_inside_a_held_note_is_kept() -> None:
    part = held_part(2)
    speeds = TempoMap((TempoMark(beats(0), 60.0), TempoMark(beats(3), 120.0)))
    held = hold_fermatas(replace(part, tempo_map=speeds), 2.0)
    assert lengths(held)[2:4] == pytest.approx([3.0, 0.5])
