"""Held notes divided at the bar lines: the same music, in shorter notes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.air.lungs import measured
from coach.planning.breathing.breaths import plan_breaths
from coach.planning.breathing.divided_notes import divide_notes
from coach.planning.breathing.passage import Passage, set_passage
from coach.score.tempo import beats
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import who


def held() -> Passage:
    """A short note, one held from the third beat of bar 1 into bar 4, and another."""
    part = part_of("F3h G3h rw rw rh A3h", bpm=60)
    first, tied, last = part.notes
    tied = replace(
        tied,
        length=beats(12),
        loud_end=3.0,
        is_slurred=True,
        has_fermata=True,
        breath_mark="breath",
        articulations=frozenset({"glissando"}),
    )
    passage = set_passage(replace(part, notes=(first, tied, last)), 60, (0.2, 0.7))
    return passage.worked((1.0, 1.1, 1.2))


def test_a_note_is_divided_at_each_bar_line_that_it_is_held_over() -> None:
    divided = divide_notes(held())
    notes = divided.passage.part.notes
    assert [(n.bar, float(n.beat), float(n.length)) for n in notes] == [
        (1, 1.0, 2.0),
        (1, 3.0, 2.0),
        (2, 1.0, 4.0),
        (3, 1.0, 4.0),
        (4, 1.0, 2.0),
        (4, 3.0, 2.0),
    ]
    assert divided.within == {1, 2, 3}
    assert divided.passage.ends == (0.2, 0.0, 0.0, 0.0, 0.7)
    assert divided.passage.effort == (1.0, 1.1, 1.1, 1.1, 1.1, 1.2)
    starts = [float(time.start) for time in divided.passage.times]
    assert starts == [0.0, 2.0, 4.0, 8.0, 12.0, 14.0]


def test_a_note_that_ends_at_a_bar_line_is_whole() -> None:
    part = part_of("F3w G3h A3h Bb3w", bpm=60)
    divided = divide_notes(set_passage(part, 60, (0.0, 0.0, 0.0)))
    assert divided.passage.part.notes == part.notes
    assert not divided.within


def test_loudness_goes_on_and_signs_stay_at_their_end() -> None:
    _, *pieces, _ = divide_notes(held()).passage.part.notes
    assert [n.loud_end for n in pieces] == pytest.approx([0.5, 1.5, 2.5, 3.0])
    assert [n.loud_start for n in pieces] == pytest.approx([0.0, 0.5, 1.5, 2.5])
    assert [n.is_slurred for n in pieces] == [True, False, False, False]
    assert [n.has_fermata for n in pieces] == [False, False, False, True]
    assert [n.breath_mark for n in pieces] == ["", "", "", "breath"]
    assert [bool(n.articulations) for n in pieces] == [False, False, False, True]


def test_breaths_within_are_named_by_the_bar_that_follows() -> None:
    divided = divide_notes(held())
    plan = plan_breaths(divided.passage, who(measured(2.2)))
    inside = [b.after_note for b in plan.breaths if b.after_note in divided.within]
    assert inside
    assert divided.breathed_before(plan) == tuple(k + 1 for k in inside)
