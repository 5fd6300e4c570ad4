"""The ear, by takes whose every fault is known."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import mir_eval.onset
import numpy as np
import pytest
from numpy.typing import NDArray

from coach.edges.hearing.hearing_numbers import read_hearing_settings
from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.hear import Ear
from coach.rehearsal.hearing.heard import Doubt, Heard, Refusal, Refused, ToldAgainst
from coach.rehearsal.hearing.take import Sounding, Take
from coach.score.note import hertz_of
from coach.score.tempo import Seconds
from tests.hearing_room.players import Habits, Played, restart, stop, warp
from tests.hearing_room.rooms import CLEAN, USUAL, World
from tests.hearing_room.studies import Study
from tests.hearing_room.takes import Cast, Performed, performed
from tests.hearing_room.voices import LEAD_S, RATE_HZ
from tests.hearing_room.whole_takes import hear

SETTINGS = read_hearing_settings()
SHORT = Cast(bpm=132.0, phrase_count=2)


def make_tone(midi: int, seconds: float, rate_hz: float) -> NDArray[np.float32]:
    """Hold a note that breaks off."""
    age = np.arange(round(seconds * rate_hz)) / rate_hz
    parts = [np.sin(2 * np.pi * n * hertz_of(midi) * age) / n for n in range(1, 13)]
    return np.asarray(0.2 * np.sum(parts, axis=0), dtype=np.float32)


@cache
def short() -> Performed:
    """Give a take of two phrases, some seven seconds."""
    return performed(11, SHORT)


@cache
def heard_in(world: World) -> Heard:
    """Hear it in a room."""
    one = short()
    return heard_of(one.taken(11, world), one.study.due)


def heard_of(take: Take, due: DuePart) -> Heard:
    """Hear a take that can be heard."""
    heard = hear(take, due, SETTINGS)
    assert isinstance(heard, Heard), heard
    return heard


def refused_of(take: Take, due: DuePart) -> Refusal:
    """Hear a take of which nothing can be said."""
    refused = hear(take, due, SETTINGS)
    assert isinstance(refused, Refused)
    return refused.why


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
    assert heard.told_against is ToldAgainst.CLICK
    assert heard.confidence > 0.8


def test_an_independent_count_finds_the_onsets_too() -> None:
    """C. Raffel and others, mir_eval: a transparent implementation of common music
    information retrieval metrics, ISMIR 2014: onsets matched with no use of the page.
    """
    one, heard = short(), heard_in(USUAL)
    true = np.array(sorted(note.on for note in one.played.notes))
    told = np.array(sorted(float(n.heard) for n in heard.notes if n.heard is not None))
    f1, precision, recall = mir_eval.onset.f_measure(
        true + LEAD_S, told + LEAD_S, window=0.025
    )
    assert min(f1, precision, recall) > 0.95


def test_breaths_are_heard_where_they_were_taken() -> None:
    one, heard = short(), heard_in(USUAL)
    assert [b.after_note for b in heard.breaths] == [b[0] for b in one.played.breaths]
    told = heard.breaths[0]
    assert told.start == pytest.approx(one.played.breaths[0][1], abs=0.06)


def test_a_sound_that_gives_out_is_heard() -> None:
    one, heard = short(), heard_in(USUAL)
    assert one.played.ran_out is not None
    assert heard.ran_out is not None
    assert heard.ran_out.note == one.played.ran_out[0]
    assert heard.ran_out.at == pytest.approx(one.played.ran_out[1], abs=0.1)


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


@cache
def phone_take(click_db: float | None) -> Take:
    """Record from somewhere in the count-in on, by a phone that knows no click."""
    take = short().taken(11, replace(USUAL, click_db=click_db))
    late = take.samples[round(0.7 * take.rate_hz) :]
    return Take(late, take.rate_hz, Sounding(None, take.sounding.clicks))


def test_a_phone_is_put_in_its_place_by_the_count_in() -> None:
    heard = heard_of(phone_take(-12.0), short().study.due)
    assert heard.told_against is ToldAgainst.COUNT_IN
    assert heard.offset == pytest.approx(0.7 - LEAD_S, abs=0.004)


def test_who_comes_in_late_and_stays_so_drags_nowhere() -> None:
    take, late_s = phone_take(-12.0), 0.17
    usual = heard_of(take, short().study.due)
    later = tuple(
        replace(click, at=Seconds(click.at + late_s)) for click in take.sounding.clicks
    )
    heard = heard_of(replace(take, sounding=Sounding(None, later)), short().study.due)
    assert heard.told_against is ToldAgainst.COUNT_IN
    assert heard.came_in == pytest.approx(late_s, abs=0.04)
    assert usual.came_in is None
    assert heard.dragged == ()
    late = [[one.note for one in told.late_after_breath] for told in (heard, usual)]
    assert late[0] == late[1]


def test_with_no_count_in_only_the_own_average_can_be_told() -> None:
    heard = heard_of(phone_take(None), short().study.due)
    assert heard.told_against is ToldAgainst.OWN_AVERAGE
    assert Doubt.OWN_AVERAGE_ONLY in heard.doubts
    assert heard.offset == pytest.approx(0.7 - LEAD_S, abs=0.05)
    alone = Take(phone_take(None).samples, 44_100.0, Sounding())
    assert heard_of(alone, short().study.due).offset == heard.offset


@pytest.mark.parametrize("speed", [1.25, 0.8])
def test_with_no_count_in_the_own_tempo_is_what_it_is_told_against(
    speed: float,
) -> None:
    """Who plays evenly at another tempo rushes nowhere and drags nowhere."""
    one = performed(12, FOUR, lambda _, played: warp(played, speed=speed))
    take = replace(one.taken(12, CLEAN), sounding=Sounding())
    heard = heard_of(take, one.study.due)
    assert heard.own_tempo_share == pytest.approx(speed, rel=0.01)
    assert Doubt.TEMPO_ITS_OWN in heard.doubts
    assert heard.rushed == heard.dragged == ()
    behind = [note.behind for note in heard.notes if note.behind is not None]
    assert max(map(abs, behind)) < 0.2


FAULTLESS = Habits(wrong_share=0.0, dropped_share=0.0, fades=False, rushes=False)
FOUR = Cast(bpm=132.0, phrase_count=3, habits=FAULTLESS)


def begin_again(_: Study, played: Played) -> Played:
    """Stop in the second phrase and begin it again."""
    second = next(n.note for n in played.notes if n.on > 3.5)
    return restart(played, second + 12, second, 1.2)


@cache
def began_again(*, is_timed: bool) -> tuple[Performed, Heard]:
    """Hear it, with the click's times known or not."""
    one = performed(12, FOUR, begin_again)
    take = one.taken(12)
    take = take if is_timed else replace(take, sounding=Sounding())
    return one, heard_of(take, one.study.due)


def test_a_player_who_begins_again_is_followed() -> None:
    one, heard = began_again(is_timed=True)
    assert len(heard.began_again) == 1
    assert Doubt.BEGAN_AGAIN in heard.doubts
    errors = [
        abs(float(heard.notes[k].heard or 0.0) - on)
        for k, on in one.played.last_on.items()
    ]
    assert np.mean(np.array(errors) < 0.05) > 0.95


@pytest.mark.parametrize("is_timed", [True, False])
def test_who_began_again_is_not_behind_by_what_was_played_twice(is_timed: bool) -> None:
    """The click went on meanwhile: only the second start's own average tells."""
    _, heard = began_again(is_timed=is_timed)
    assert heard.rushed == heard.dragged == ()
    behind = [note.behind for note in heard.notes if note.behind is not None]
    assert max(map(abs, behind)) < 0.3
    assert heard.told_against is ToldAgainst.OWN_AVERAGE


def test_of_two_takes_in_one_recording_the_last_is_told_by_its_own_count_in() -> None:
    one = short()
    take = phone_take(-12.0)
    twice = np.concatenate([take.samples, take.samples])
    heard = heard_of(replace(take, samples=twice), one.study.due)
    assert heard.told_against is ToldAgainst.COUNT_IN
    offset = 0.7 - LEAD_S - float(take.length)
    assert heard.offset == pytest.approx(offset, abs=0.004)
    assert heard.dragged == heard_of(take, one.study.due).dragged
    assert Doubt.BEGAN_AGAIN in heard.doubts


@pytest.mark.parametrize("is_timed", [True, False])
def test_a_note_held_before_a_run_that_breaks_off_is_none_of_it(is_timed: bool) -> None:
    """It may have begun the run, or warmed the lips up."""
    one = short()
    take = one.taken(11, USUAL)
    held = make_tone(51, 1.5, take.rate_hz)
    samples = take.samples.copy()
    samples[: len(held)] += held
    half = replace(
        take,
        samples=samples[: len(samples) // 2],
        sounding=take.sounding if is_timed else Sounding(),
    )
    heard = heard_of(half, one.study.due)
    behind = [note.behind for note in heard.notes if note.behind is not None]
    assert max(map(abs, behind)) < 0.3
    assert Doubt.BEGAN_AGAIN not in heard.doubts


def test_the_last_bit_of_a_recorder_is_no_note() -> None:
    """What a program makes has no room; its last ring stays at one step of 16 bits."""
    one = performed(12, SHORT)
    take = one.taken(12, CLEAN)
    tone = make_tone(one.study.due.notes[-1].midi, 3.0, take.rate_hz)
    pause = np.zeros(round(0.8 * take.rate_hz), dtype=np.float32)
    rung = np.concatenate([take.samples, pause, tone / np.abs(tone).max() / 2**15])
    heard = heard_of(replace(take, samples=rung), one.study.due)
    assert heard.ran_out == heard_of(take, one.study.due).ran_out
    assert Doubt.BEGAN_AGAIN not in heard.doubts


def test_a_player_who_stops_has_missed_nothing_after_it() -> None:
    one = performed(12, FOUR, lambda _, played: stop(played, 0.6))
    heard = heard_of(one.taken(12), one.study.due)
    assert heard.stopped == pytest.approx(one.played.notes[-1].off, abs=0.1)
    assert Doubt.STOPPED_EARLY in heard.doubts
    assert heard.missed == ()
    assert heard.ran_out is None


def test_a_note_that_the_plan_leaves_out_is_not_missed() -> None:
    one = short()
    dropped = 20
    played = replace(
        one.played, notes=tuple(n for n in one.played.notes if n.note != dropped)
    )
    silent = performed(11, SHORT, lambda *_: played)
    take = silent.taken(11)
    assert dropped in heard_of(take, one.study.due).missed
    notes = list(one.study.due.notes)
    notes[dropped] = replace(notes[dropped], is_left_out=True)
    due = replace(one.study.due, notes=tuple(notes))
    assert heard_of(take, due).missed == ()


def test_a_player_off_pitch_is_heard_as_one_in_tune() -> None:
    flat = replace(SHORT, habits=Habits(off_pitch_cents=-40.0))
    one = performed(11, flat)
    heard = heard_of(one.taken(11), one.study.due)
    assert heard.tuning_cents == pytest.approx(-40.0, abs=6.0)
    assert Doubt.FAR_OFF_PITCH in heard.doubts
    assert heard.wrong == one.played.wrong
    assert heard.missed == ()


def test_nothing_is_said_of_silence_or_of_too_little() -> None:
    due = short().study.due
    silence = np.zeros(96_000, dtype=np.float32)
    assert refused_of(Take(silence, 48_000.0), due) is Refusal.SILENT
    assert refused_of(Take(silence[:100], 48_000.0), due) is Refusal.TOO_SHORT


def test_notes_that_are_struck_hard_and_sink_are_no_other_piece() -> None:
    one = performed(8, Cast(bpm=132.0, phrase_count=4))
    sinks = np.zeros(len(one.dry))
    for note in one.played.notes:
        a, b = (round((t + LEAD_S) * RATE_HZ) for t in (note.on, note.off))
        age = np.maximum(0.0, np.arange(b - a) / RATE_HZ - 0.05)
        sinks[a:b] = 16.0 * (1.0 - np.exp(-age / 0.06))
    struck = replace(one, dry=one.dry * 10.0 ** (-sinks / 20.0))
    heard_of(struck.taken(12), one.study.due)


def test_nothing_is_said_of_another_piece() -> None:
    take = short().taken(11)
    other = performed(13, replace(SHORT, style="tongued")).study
    assert refused_of(take, other.due) is Refusal.ANOTHER_PIECE
    assert refused_of(replace(take, sounding=Sounding()), other.due) in (
        Refusal.ANOTHER_PIECE,
        Refusal.NO_HORN,
    )


def speak(seconds: float, rate_hz: float) -> NDArray[np.float32]:
    """Glide up and down as a voice does that speaks: a syllable every 0.3 s."""
    draw = np.random.default_rng(7)
    sound = []
    for _ in range(round(seconds / 0.3)):
        share = np.linspace(0.0, 1.0, round(0.25 * rate_hz))
        key = 48 + draw.uniform(-4, 4) + draw.choice([-7.0, 7.0]) * share
        turn = 2 * np.pi * np.cumsum(440.0 * 2.0 ** ((key - 69) / 12)) / rate_hz
        said = np.sum([np.sin(n * turn) / n for n in range(1, 13)], axis=0)
        sound += [said * np.sin(np.pi * share), np.zeros(round(0.05 * rate_hz))]
    noise = draw.normal(0.0, 1e-3, round(rate_hz))
    return np.concatenate([noise, 0.2 * np.concatenate(sound)]).astype(np.float32)


def test_speech_is_no_other_piece() -> None:
    rate_hz = 22_050.0
    take = Take(speak(6.0, rate_hz), rate_hz)
    assert refused_of(take, short().study.due) is Refusal.NO_HORN
    held = replace(SETTINGS.trust, least_steady_share=0.0)
    refused = hear(take, short().study.due, replace(SETTINGS, trust=held))
    assert refused == Refused(Refusal.ANOTHER_PIECE), "its pitches are clear enough"


@pytest.mark.parametrize("lead_s", [0.0, 1.0])
def test_long_notes_without_a_pause_are_another_piece_not_speech(
    lead_s: float,
) -> None:
    """Nothing but the notes themselves sounds: no noise is there to stand out of."""
    rate_hz = 22_050.0
    age = np.arange(round(4.0 * rate_hz)) / rate_hz
    held = [
        np.sum([np.sin(2 * np.pi * n * hertz * age) / n for n in range(1, 13)], axis=0)
        for hertz in (116.5, 174.6)
    ]
    draw = np.random.default_rng(8)
    lead = np.zeros(round(lead_s * rate_hz))
    sound = np.concatenate([lead, 0.1 * np.concatenate(held), lead])
    take = Take(
        (sound + draw.normal(0.0, 1e-3, len(sound))).astype(np.float32), rate_hz
    )
    assert refused_of(take, short().study.due) is Refusal.ANOTHER_PIECE


def test_nothing_is_said_of_noise_clicks_or_a_clipped_take() -> None:
    one = short()
    draw = np.random.default_rng(1)
    noise = 0.01 * draw.normal(0.0, 1.0, 88_200)
    loud = np.clip(30 * one.taken(11).samples, -1.0, 1.0)
    due = one.study.due
    assert refused_of(Take(noise.astype(np.float32), 44_100.0), due) in (
        Refusal.NO_HORN,
        Refusal.TOO_NOISY,
    )
    assert refused_of(Take(loud, 44_100.0), due) is Refusal.CLIPPED
    drowned = one.taken(11, replace(USUAL, snr_db=-3.0))
    assert refused_of(drowned, due) is Refusal.TOO_NOISY


@pytest.mark.parametrize("rate_hz", [8_000.0, 22_050.0, 192_000.0])
def test_odd_sounds_at_odd_rates_are_refused_and_nothing_breaks(
    rate_hz: float,
) -> None:
    due = short().study.due
    age = np.arange(round(1.5 * rate_hz)) / rate_hz
    impulse = np.zeros(len(age))
    impulse[len(age) // 2] = 1.0
    for sound in (impulse, 0.5 + 0 * age, 0.3 * np.sin(2 * np.pi * 440.0 * age)):
        take = Take(sound.astype(np.float32), rate_hz, Sounding())
        assert isinstance(hear(take, due, SETTINGS), Refused)
