"""What a key of the phrase screen does to the player's edits: the last one holds."""

from __future__ import annotations

from coach.planning.breathing.locks import Locks
from coach.planning.edits import Edits
from coach.screens.phrase.plan_edits import (
    breathe_after,
    leave_out,
    move_breath,
    never_after,
)


def edits(**given: frozenset[int]) -> Edits:
    return Edits(locks=Locks(**given))  # type: ignore[arg-type]  # its own fields


def test_who_breathes_after_a_note_plays_it() -> None:
    asked = breathe_after(edits(left_out=frozenset({4})), 4).locks
    assert (asked.must, asked.left_out) == (frozenset({4}), frozenset())


def test_where_a_breath_is_refused_no_notes_are_left_out_for_it() -> None:
    refused = never_after(edits(left_out=frozenset({4, 5, 7})), 3).locks
    assert (refused.must_not, refused.left_out) == (frozenset({3}), frozenset({7}))


def test_a_breath_for_which_a_note_was_left_out_moves_behind_that_note() -> None:
    moved = move_breath(edits(left_out=frozenset({4})), 3, 4).locks
    assert (moved.must, moved.must_not) == (frozenset({4}), frozenset({3}))
    assert not moved.left_out


def test_a_note_that_is_left_out_has_its_breath_before_it() -> None:
    before = edits(
        must=frozenset({4, 9}), must_not=frozenset({2, 8}), left_out=frozenset({3})
    )
    left = leave_out(before, 4).locks
    assert left.left_out == frozenset({3, 4})
    assert (left.must, left.must_not) == (frozenset({9}), frozenset({8}))
    assert leave_out(Edits(locks=left), 4).locks.left_out == frozenset({3})
