"""Changes of what is asked for: named, undone and done again."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from coach.planning.edits import Edits
from coach.screens.phrase.change_history import Asked, ChangeHistory, say_asked
from tests.hand_rehearsal import short

PLAIN = Asked(Edits(), 96.0)
LOUD = Edits(dynamic_shift=1.0)


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"edits": LOUD}, "all of it louder"),
        ({"bpm": 42.0}, "tempo 42 instead of 96"),
        ({"room_beats": 1.0}, "a beat of room at each breath"),
        ({"bars": (3, 4)}, "bars 3 to 4"),
        ({"semitones": 12, "edits": LOUD}, "an octave higher"),
        ({"bpm": 42.0, "bars": (3, 3)}, "tempo 42 instead of 96; bar 3"),
    ],
)
def test_each_change_is_named(changed: dict[str, Any], says: str) -> None:
    assert say_asked(PLAIN, replace(PLAIN, **changed), short()) == says


def test_what_is_taken_away_is_named_too() -> None:
    roomy = replace(PLAIN, room_beats=1.0, bars=(3, 4))
    said = say_asked(roomy, PLAIN, short())
    assert said == "breaths in time; the whole etude"


def test_the_last_change_is_undone_first_whatever_it_was() -> None:
    history = ChangeHistory()
    states = [
        PLAIN,
        replace(PLAIN, edits=LOUD),
        replace(PLAIN, edits=LOUD, bpm=42.0),
        replace(PLAIN, bpm=42.0, semitones=12),
    ]
    for before, after in pairwise(states):
        history.add(before, after)
    now = states[-1]
    for before in reversed(states[:-1]):
        found = history.undo(now)
        assert found is not None
        now = found[0]
        assert now == before
    assert history.undo(now) is None
    for after in states[1:]:
        found = history.redo(now)
        assert found is not None
        now = found[0]
        assert now == after
    assert history.redo(now) is None


def test_undoing_leaves_alone_what_was_asked_for_elsewhere_since() -> None:
    history = ChangeHistory()
    history.add(PLAIN, replace(PLAIN, edits=LOUD))
    found = history.undo(replace(PLAIN, edits=LOUD, bpm=60.0))
    assert found is not None
    assert found[0] == replace(PLAIN, bpm=60.0)


def test_a_change_that_was_refused_is_passed_over() -> None:
    history = ChangeHistory()
    history.add(PLAIN, replace(PLAIN, bpm=90.0))
    history.add(replace(PLAIN, bpm=90.0), replace(PLAIN, bpm=90.0, edits=LOUD))
    found = history.undo(replace(PLAIN, bpm=90.0))
    assert found is not None
    assert found[0] == PLAIN
    assert history.undo(PLAIN) is None


def test_a_new_change_forgets_what_was_undone_and_none_is_no_change() -> None:
    history = ChangeHistory()
    history.add(PLAIN, replace(PLAIN, bpm=90.0))
    history.undo(replace(PLAIN, bpm=90.0))
    history.add(PLAIN, replace(PLAIN, is_open=frozenset({"tempo"})))
    assert history.undo(PLAIN) is None, "what is open is no change alone"
    history.add(PLAIN, replace(PLAIN, edits=LOUD))
    assert history.redo(replace(PLAIN, edits=LOUD)) is None
