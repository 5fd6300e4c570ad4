"""Notes that were missed, and notes that are too soft to tell."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from coach.edges.hearing.hearing_numbers import read_hearing_settings
from coach.rehearsal.hearing.alignment.taken_notes import Taken, TakenLeg, TakenNote
from coach.rehearsal.hearing.due_part import DueNote, DuePart
from coach.rehearsal.hearing.heard import ToldAgainst
from coach.rehearsal.hearing.judging.missed_notes import find_missed, find_wrong
from coach.rehearsal.hearing.judging.telling import tell
from coach.rehearsal.hearing.judging.trust import SoundFacts
from coach.rehearsal.hearing.take_start import TakeStart
from coach.score.tempo import Seconds
from tests.hearing_room.looks import evidence_of

SETTINGS = read_hearing_settings()
TRUST = SETTINGS.trust
FLOOR_DB = -60.0
FAINT_DB = FLOOR_DB + TRUST.faint_over_noise_db - 1.0
LOUD_DB = -20.0


def ten(*left_out: int) -> DuePart:
    """Give ten notes of a second."""
    return DuePart(
        tuple(
            DueNote(
                Seconds(k),
                Seconds(k + 1),
                Seconds(k + 1),
                50,
                0.0,
                is_left_out=k in left_out,
            )
            for k in range(10)
        )
    )


def taken(levels: dict[int, float], wrong: int | None = None) -> Taken:
    """Let some of them be heard, each at a level."""
    evidence = evidence_of(50, np.zeros((1, 1)), floor_db=FLOOR_DB)
    notes = tuple(
        TakenNote(k, k, k + 0.9, 50 + 2 * (k == wrong), 0.0, level, -10.0, 0.0, 0.9)
        for k, level in levels.items()
    )
    return Taken(evidence, (TakenLeg(notes),), (), None)


def loud(*notes: int) -> dict[int, float]:
    """Let notes be heard well."""
    return dict.fromkeys(notes, LOUD_DB)


@pytest.mark.parametrize(
    ("heard", "left_out", "passed", "missed"),
    [
        (loud(*range(10)), (), set(), ()),
        (loud(0, 1, 4, 6), (), set(), (2, 3, 5)),
        (loud(2, 3), (), set(), (0, 1)),
        (loud(0, 1, 4), (2,), set(), (3,)),
        (loud(0, 1, 4), (), {3}, (2,)),
        ({**loud(0, 5), 1: FAINT_DB}, (), set(), ()),
        ({**loud(0, 1, 6), 4: FAINT_DB}, (), set(), ()),
        ({**loud(0, 2, 6), 5: FAINT_DB}, (), set(), (1,)),
    ],
)
def test_what_is_missed_stands_between_notes_that_are_heard_well(
    heard: dict[int, float],
    left_out: tuple[int, ...],
    passed: set[int],
    missed: tuple[int, ...],
) -> None:
    assert find_missed(taken(heard), ten(*left_out), passed, TRUST) == missed


def test_a_note_that_is_too_soft_to_tell_is_not_wrong() -> None:
    assert find_wrong(taken(loud(0, 1, 2), wrong=1), ten(), TRUST) == (1,)
    faint = {**loud(0, 2), 1: FAINT_DB}
    assert find_wrong(taken(faint, wrong=1), ten(), TRUST) == ()
    deaf = replace(TRUST, faint_over_noise_db=0.0)
    assert find_wrong(taken(faint, wrong=1), ten(), deaf) == (1,)


@pytest.mark.parametrize(("level_db", "is_told"), [(LOUD_DB, True), (FAINT_DB, False)])
def test_how_late_a_note_is_that_is_too_soft_to_tell_nobody_says(
    level_db: float, is_told: bool
) -> None:
    played = taken({k: LOUD_DB if k < 6 else level_db for k in range(10)})
    (leg,) = played.legs
    late = tuple(
        replace(note, at=note.at + 0.1 * (note.note >= 6)) for note in leg.notes
    )
    start, facts = TakeStart(0.0, ToldAgainst.CLICK), SoundFacts(-20.0, 40.0, 0.0)
    heard = tell(replace(played, legs=(TakenLeg(late),)), ten(), start, facts, SETTINGS)
    assert heard.notes[9].heard == pytest.approx(9.1)
    assert (heard.notes[9].behind is not None) is is_told
    dragged = [(stretch.first, stretch.last) for stretch in heard.dragged]
    assert dragged == [(6, 9)] * is_told
