"""What a change of the player's edits is called."""

from __future__ import annotations

import pytest

from coach.planning.breathing.locks import Locks
from coach.planning.edits import Edits
from coach.screens.phrase.edit_words import say_change
from tests.hand_rehearsal import short

NONE = Edits()


def locks(**given: frozenset[int] | bool) -> Edits:
    return Edits(locks=Locks(**given))  # type: ignore[arg-type]  # its own fields


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        (NONE, locks(must=frozenset({4})), "a breath after bar 1, beat 2"),
        (
            locks(must=frozenset({4}), kept=frozenset({1})),
            locks(kept=frozenset({1})),
            "no longer a breath of yours after bar 1, beat 2",
        ),
        (NONE, locks(must_not=frozenset({0})), "no breath after bar 1, beat 1"),
        (
            locks(must_not=frozenset({0}), kept=frozenset({1})),
            locks(kept=frozenset({1})),
            "a breath after bar 1, beat 1 allowed again",
        ),
        (NONE, locks(left_out=frozenset({1})), "D3 in bar 1, beat 1.25 left out"),
        (
            locks(left_out=frozenset({1})),
            locks(kept=frozenset({1})),
            "D3 in bar 1, beat 1.25 always played",
        ),
        (
            locks(left_out=frozenset({1}), kept=frozenset({2})),
            locks(kept=frozenset({2})),
            "D3 in bar 1, beat 1.25 no longer left out by you",
        ),
        (
            locks(kept=frozenset({1, 2})),
            locks(kept=frozenset({1})),
            "F3 in bar 1, beat 1.5 may be left out again",
        ),
        (NONE, locks(may_leave_out=False), "every note is played"),
        (
            locks(left_out=frozenset({1})),
            locks(left_out=frozenset({1}), may_leave_out=False),
            "every other note is played",
        ),
        (
            locks(may_leave_out=False, must=frozenset({4})),
            locks(must=frozenset({4})),
            "notes may be left out",
        ),
        (NONE, Edits(positions=((0, "4"),)), "position 4 in bar 1, beat 1"),
        (
            Edits(positions=((0, "4"), (1, "3"))),
            Edits(positions=((1, "3"),)),
            "the position in bar 1, beat 1 left to the plan",
        ),
        (NONE, Edits(dial=0.5), "alternates 0.5"),
        (NONE, Edits(dynamic_shift=1.0), "all of it louder"),
        (NONE, Edits(dynamic_shift=-1.0), "all of it softer"),
        (
            NONE,
            locks(must=frozenset({4, 8, 12})),
            "a breath after bar 1, beat 2; a breath after bar 1, beat 3; and 1 more",
        ),
        (Edits(dial=0.5), NONE, "alternates left to the plan"),
        (Edits(dial=0.5, dynamic_shift=1.0), NONE, "everything left to the plan"),
    ],
)
def test_each_change_is_named(before: Edits, after: Edits, says: str) -> None:
    assert say_change(before, after, short()) == says
