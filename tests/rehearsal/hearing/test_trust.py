"""What is refused, because too little of it is on the page."""

from __future__ import annotations

import numpy as np
import pytest

from coach.edges.hearing.hearing_numbers import read_hearing_settings
from coach.rehearsal.hearing.alignment.taken_notes import Taken, TakenLeg, TakenNote
from coach.rehearsal.hearing.due_part import DueNote, DuePart
from coach.rehearsal.hearing.heard import Refusal, Refused
from coach.rehearsal.hearing.judging.trust import SoundFacts, refuse_notes
from coach.score.tempo import Seconds
from tests.hearing_room.looks import evidence_of

SETTINGS = read_hearing_settings().trust
CLEAR = SoundFacts(loud_db=-20.0, over_noise_db=40.0, full_share=0.0)

FIRST_MIDI, HOP_S = 48, 0.005
PAGE, NOT_ON_IT = 49, 48
LOOKS_OF_NOTE = 20
"""A tenth of a second."""


def take_of(sounds: list[int], found: list[int]) -> tuple[Taken, DuePart]:
    """Let one note after the other sound, each taken for one of the page's."""
    keys = np.repeat(sounds, LOOKS_OF_NOTE)
    fits = np.zeros((len(keys), 3))
    fits[np.arange(len(keys)), keys - FIRST_MIDI] = 0.9
    looks = evidence_of(FIRST_MIDI, fits)
    due = [Seconds(LOOKS_OF_NOTE * HOP_S * k) for k in range(len(sounds) + 1)]
    notes = tuple(
        TakenNote(k, due[k], due[k + 1], key, 0.0, -20.0, -10.0, 0.0, 0.9)
        for k, key in enumerate(found)
    )
    page = tuple(
        DueNote(due[k], due[k + 1], due[k + 1], PAGE, 0.0) for k in range(len(sounds))
    )
    return Taken(looks, (TakenLeg(notes),), (), None), DuePart(page)


def shared(own: int, of: int = 20) -> list[int]:
    """Give so many keys of the page, and others for the rest."""
    return [PAGE] * own + [NOT_ON_IT] * (of - own)


@pytest.mark.parametrize(
    ("sounds", "found", "is_refused"),
    [(20, 20, False), (13, 20, False), (20, 13, False), (13, 13, True), (9, 20, True)],
)
def test_other_bars_share_some_of_the_sound_and_some_notes_but_not_much_of_both(
    sounds: int, found: int, is_refused: bool
) -> None:
    taken, due = take_of(shared(sounds), shared(found))
    told = refuse_notes(taken, due, CLEAR, SETTINGS)
    assert told == (Refused(Refusal.ANOTHER_PIECE) if is_refused else None)
