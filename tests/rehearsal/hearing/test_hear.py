"""The ear, by takes whose every fault is known."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from coach.edges.hearing.hearing_numbers import read_hearing_settings
from coach.rehearsal.hearing.hear import Ear, hear
from coach.rehearsal.hearing.heard import Heard, Refusal, Refused, ToldAgainst
from coach.rehearsal.hearing.take import Sounding, Take
from tests.hearing_room.rooms import CLEAN, USUAL, World
from tests.hearing_room.takes import Cast, Performed, performed

SETTINGS = read_hearing_settings()
SHORT = Cast(bpm=132.0, phrase_count=2)


@cache
def short() -> Performed:
    """Give a take of two phrases, some seven seconds."""
    return performed(11, SHORT)


@cache
def heard_in(world: World) -> Heard:
    """Hear it in a room."""
    one = short()
    heard = hear(one.taken(11, world), one.study.due, SETTINGS)
    assert isinstance(heard, Heard)
    return heard


@pytest.mark.parametrize("world", [CLEAN, USUAL])
def test_every_note_is_heard_when_it_was_played(world: World) -> None:
    one, heard = short(), heard_in(world)
    errors = [
        float(heard.notes[note.note].heard or 0.0) - note.on
        for note in one.played.notes
    ]
    assert np.abs(errors).max() < 0.05
    assert np.median(np.abs(errors)) < 0.008
    assert heard.missed == one.played.dropped
    assert heard.wrong == one.played.wrong
    assert heard.footing is ToldAgainst.CLICK
    assert heard.confidence > 0.8


def test_breaths_are_heard_where_they_were_taken() -> None:
    one, heard = short(), heard_in(USUAL)
    assert [b.after_note for b in heard.breaths] == [b[0] for b in one.played.breaths]
    told = heard.breaths[0]
    assert told.start == pytest.approx(one.played.breaths[0][1], abs=0.06)


def test_an_ear_that_listens_along_hears_the_same() -> None:
    one = short()
    take = one.taken(11, USUAL)
    ear = Ear(one.study.due, take.rate_hz, SETTINGS)
    for begin in range(0, len(take.samples), 1111):
        ear.push(take.samples[begin : begin + 1111])
    along = ear.finish(take.sounding)
    assert isinstance(along, Heard)
    for one_note, other in zip(along.notes, heard_in(USUAL).notes, strict=True):
        assert one_note.heard == pytest.approx(other.heard, abs=1e-4)
        assert one_note.midi == other.midi


def test_nothing_is_said_of_silence_or_of_too_little() -> None:
    due = short().study.due
    silence = Take(np.zeros(96_000, dtype=np.float32), 48_000.0, Sounding())
    refused = hear(silence, due, SETTINGS)
    assert isinstance(refused, Refused)
    assert refused.why is Refusal.SILENT
    brief = Take(np.zeros(100, dtype=np.float32), 48_000.0, Sounding())
    refused = hear(brief, due, SETTINGS)
    assert isinstance(refused, Refused)
    assert refused.why is Refusal.TOO_SHORT


def test_work_is_told_as_it_goes() -> None:
    one = short()
    told: list[float] = []
    hear(one.taken(11, CLEAN), one.study.due, SETTINGS, told.append)
    assert told == sorted(told)
    assert told[-1] == 1.0
