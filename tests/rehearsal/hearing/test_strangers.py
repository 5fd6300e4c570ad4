"""Takes as strangers make them: nothing is missed that was played, nothing refused."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from coach.edges.hearing.hearing_numbers import read_hearing_settings
from coach.rehearsal.hearing.heard import Heard
from coach.rehearsal.hearing.take import Sounding, Take
from tests.hearing_room import voices
from tests.hearing_room.players import Habits, Played, perform
from tests.hearing_room.rooms import USUAL, record
from tests.hearing_room.studies import Study, compose_study
from tests.hearing_room.voices import LEAD_S, RATE_HZ, Breathful, Sound
from tests.hearing_room.whole_takes import hear

SETTINGS = read_hearing_settings()
FAULTLESS = Habits(wrong_share=0.0, dropped_share=0.0, fades=False, rushes=False)
VIBRATO_HZ = 5.5
VIBRATO_SEMITONES = 0.5


def taken(seed: int) -> tuple[Study, Played, Take]:
    """Record a study that is played without a fault, from elsewhere."""
    study = compose_study(seed, "mixed", 76.0, phrase_count=4)
    played = perform(study, seed, FAULTLESS)
    take = record(voices.sing(played, seed), study, played, USUAL, seed)
    return study, played, replace(take, sounding=Sounding())


def test_a_wide_vibrato_is_no_other_piece(monkeypatch: pytest.MonkeyPatch) -> None:
    plain = voices.pitch_curve

    def shaken(group: Breathful, times: Sound) -> Sound:
        turn = 2.0 * np.pi * VIBRATO_HZ * times
        return np.asarray(plain(group, times) + VIBRATO_SEMITONES * np.sin(turn))

    monkeypatch.setattr(voices, "pitch_curve", shaken)
    study, _, take = taken(9)
    heard = hear(take, study.due, SETTINGS)
    assert isinstance(heard, Heard), heard
    assert heard.missed == heard.wrong == ()
    assert abs(heard.tuning_cents) < 15.0


@pytest.mark.parametrize("begins_s", [0.7, 1.9])
def test_a_recording_that_begins_in_the_run_misses_nothing(begins_s: float) -> None:
    study, played, take = taken(10)
    rest = take.samples[round((LEAD_S + begins_s) * RATE_HZ) :]
    heard = hear(replace(take, samples=rest), study.due, SETTINGS)
    assert isinstance(heard, Heard), heard
    assert heard.missed == ()
    (over,) = heard.passed_over
    sounding = sum(note.on < begins_s for note in played.notes)
    assert not over.is_recorded
    assert over.first == 0
    assert sounding - 2 <= over.last < sounding
