"""What the player insists on, also where only a stretch is rehearsed."""

from __future__ import annotations

from coach.planning.breathing.locks import Locks
from coach.planning.edits import Edits

EDITS = Edits(
    locks=Locks(must=frozenset({3, 8, 11}), must_not=frozenset({7})),
    positions=((2, "4"), (9, "b4"), (12, "1")),
    dial=0.7,
    dynamic_shift=-1.0,
)


def test_a_stretch_counts_its_own_notes_from_its_first() -> None:
    inside = EDITS.within(first_note=7, count=5)
    assert inside.locks == Locks(must=frozenset({1}), must_not=frozenset({0}))
    assert inside.positions == ((2, "b4"),)


def test_a_breath_after_the_last_note_of_a_stretch_is_outside() -> None:
    assert EDITS.within(first_note=0, count=4).locks.must == frozenset()
    assert EDITS.within(first_note=0, count=5).locks.must == frozenset({3})


def test_dial_and_loudness_hold_for_every_stretch() -> None:
    inside = EDITS.within(first_note=100, count=3)
    assert (inside.dial, inside.dynamic_shift) == (0.7, -1.0)
