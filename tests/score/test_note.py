"""Pitches: key numbers, frequencies, intervals; the dynamic at a note."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.score.note import (
    DYNAMIC_STEPS,
    LETTERS,
    Note,
    Pitch,
    closes_trill,
    spelled_in,
)
from coach.score.tempo import beats

PITCHES = st.builds(
    Pitch, st.integers(-1, 9), st.sampled_from(LETTERS), st.integers(-2, 2)
)


def make_note(loud_start: float = 0.0) -> Note:
    pitch = Pitch(3, "F")
    return Note(beats(1), beats("1/2"), pitch, pitch, 1, Fraction(2), loud_start)


@pytest.mark.parametrize(
    ("pitch", "midi", "hertz"),
    [
        # Scientific pitch and MIDI 1.0 key numbers; equal temperament at A4 = 440 Hz.
        (Pitch(4, "C"), 60, 261.6256),
        (Pitch(4, "A"), 69, 440.0),
        (Pitch(2, "B", -1), 46, 116.5409),
        (Pitch(3, "F", 1), 54, 184.9972),
        (Pitch(-1, "C"), 0, 8.1758),
    ],
)
def test_pitch_has_its_key_number_and_frequency(
    pitch: Pitch, midi: int, hertz: float
) -> None:
    assert pitch.midi == midi
    assert pitch.hertz == pytest.approx(hertz, abs=1e-4)


def test_pitch_is_spelled_as_players_say_it() -> None:
    assert str(Pitch(2, "B", -1)) == "Bb2"
    assert str(Pitch(3, "F", 1)) == "F#3"
    assert str(Pitch(3, "F", 2)) == "F##3"
    assert str(Pitch(4, "D")) == "D4"


def test_neighbours_on_the_staff_are_a_step_apart() -> None:
    assert Pitch(4, "C").staff_step - Pitch(3, "B").staff_step == 1
    assert Pitch(4, "C", 1).staff_step == Pitch(4, "C").staff_step


@pytest.mark.parametrize(
    ("written", "interval", "sounding"),
    [
        # Horn in F sounds a fifth below, B flat trumpet a whole tone, both from what
        # is written: common practice, no published source.
        (Pitch(5, "C"), (-4, -7), "F4"),
        (Pitch(4, "F", 1), (-4, -7), "B3"),
        (Pitch(5, "C"), (-1, -2), "Bb4"),
        (Pitch(4, "E"), (-1, -2), "D4"),
        (Pitch(4, "E"), (-8, -14), "D3"),
        (Pitch(3, "B"), (1, 1), "C4"),
    ],
)
def test_a_transposed_pitch_keeps_the_spelling_of_the_interval(
    written: Pitch, interval: tuple[int, int], sounding: str
) -> None:
    assert str(written.moved(*interval)) == sounding


@settings(deadline=None)
@given(PITCHES, st.integers(-14, 14), st.integers(-24, 24))
def test_moving_there_and_back_gives_the_same_pitch(
    pitch: Pitch, steps: int, semitones: int
) -> None:
    moved = pitch.moved(steps, semitones)
    assert moved.midi == pitch.midi + semitones
    assert moved.staff_step == pitch.staff_step + steps
    assert moved.moved(-steps, -semitones) == pitch


@pytest.mark.parametrize("name", DYNAMIC_STEPS)
def test_a_note_tells_the_dynamic_that_it_starts_with(name: str) -> None:
    assert make_note(DYNAMIC_STEPS[name]).dynamic == name
    assert make_note(DYNAMIC_STEPS[name] + 0.4).dynamic == name


def test_a_note_ends_after_its_length() -> None:
    assert make_note().end == Fraction(3, 2)


def test_a_trill_is_closed_by_grace_notes_alone() -> None:
    plain = make_note()
    trilled = replace(plain, articulations=frozenset({"trill-mark"}))
    grace = replace(plain, is_grace=True)
    assert closes_trill(trilled, grace)
    assert not closes_trill(trilled, plain)
    assert not closes_trill(plain, grace)


@given(st.integers(0, 127), st.integers(-7, 7))
def test_a_key_number_is_spelled_as_itself(midi: int, fifths: int) -> None:
    pitch = spelled_in(midi, fifths)
    assert pitch.midi == midi
    assert abs(pitch.alter) <= 2


@pytest.mark.parametrize(
    ("fifths", "scale"),
    [
        (0, "C C# D Eb E F F# G G# A Bb B"),
        (-6, "C Db D Eb Fb F Gb G Ab Bbb Bb Cb"),
        (3, "C C# D D# E E# F# G G# A A# B"),
    ],
)
def test_a_key_has_its_own_names_for_the_twelve_notes(fifths: int, scale: str) -> None:
    names = [str(spelled_in(60 + k, fifths))[:-1] for k in range(12)]
    assert names == scale.split()
