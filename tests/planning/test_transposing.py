"""A moved etude reads like one that was written there."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.planning.transposing import title_on_page, transpose
from coach.score.etude_key import key_of
from coach.score.note import Pitch
from coach.score.phrase import Part
from tests.score.abc.abc_samples import part_of

KEYS = [*"CGDAEBF", "F#", "C#", "Bb", "Eb", "Ab", "Db", "Gb", "Cb", "Am", "Ebm"]
SCALE = "X:1\nT:Scale\nM:4/4\nL:1/4\nQ:1/4=60\nK:{key} clef=bass\nB,,C,D,^F,|\n"


def spelled(part: Part) -> list[str]:
    return [str(note.written) for note in part.notes]


def test_nothing_moves_by_nothing() -> None:
    part = part_of(SCALE.format(key="Bb"))
    assert transpose(part, 0) is part


@pytest.mark.parametrize("semitones", [-36, -12, -1, 0, 1, 2, 12, 24])
def test_a_moved_title_tells_that_of_the_page(semitones: int) -> None:
    part = transpose(part_of(SCALE.format(key="Bb")), semitones)
    assert (part.title != "Scale") == bool(semitones)
    assert title_on_page(part.title) == "Scale"
    assert title_on_page("Scale (slow)") == "Scale (slow)"


@pytest.mark.parametrize(
    ("key", "semitones", "name", "fifths", "notes"),
    [
        # A major third up is D major, by the circle of fifths: two sharps.
        ("Bb", 4, "D major", 2, ["D3", "E3", "F#3", "A#3"]),
        ("Bb", -12, "B flat major", -2, ["Bb1", "C2", "D2", "F#2"]),
        # A semitone up is B major (5 sharps), not C flat (7 flats).
        ("Bb", 1, "B major", 5, ["B2", "C#3", "D#3", "F##3"]),
        ("C", 1, "D flat major", -5, ["C3", "Db3", "Eb3", "G3"]),
        ("Gm", 2, "A minor", 0, ["C3", "D3", "E3", "G#3"]),
    ],
)
def test_the_key_moves_along(
    key: str, semitones: int, name: str, fifths: int, notes: list[str]
) -> None:
    moved = transpose(part_of(SCALE.format(key=key)), semitones)
    assert moved.key_name == name
    assert moved.bars[0].fifths == fifths
    assert spelled(moved) == notes


@given(
    st.sampled_from(KEYS),
    st.integers(-36, 36),
)
def test_every_pitch_moves_by_as_much_and_stays_readable(key: str, by: int) -> None:
    part = part_of(SCALE.format(key=key))
    moved = transpose(part, by)
    for before, after in zip(part.notes, moved.notes, strict=True):
        assert after.written.midi == before.written.midi + by
        assert after.sounding.midi == before.sounding.midi + by
        assert abs(after.written.alter) <= 2
    assert abs(moved.bars[0].fifths) <= 7


def test_a_change_of_key_moves_too_and_never_needs_eight_signs() -> None:
    part = part_of(SCALE.format(key="Cb"))
    bars = (part.bars[0], replace(part.bars[0], fifths=6))
    moved = transpose(replace(part, bars=bars, key_name="open"), 1)
    # C flat to C is seven fifths up, so F sharp (6) becomes G (13, that is 1).
    assert [bar.fifths for bar in moved.bars] == [0, 1]
    assert moved.key_name == ""


def test_triple_signs_are_spelled_from_the_neighbour() -> None:
    part = part_of(SCALE.format(key="Cb"))
    sharpest = replace(part.notes[0], written=Pitch(3, "F", 2))
    moved = transpose(replace(part, notes=(sharpest,)), 1)
    assert str(moved.notes[0].written) == "G#3"
    assert moved.notes[0].written.midi == sharpest.written.midi + 1


def test_runs_and_edits_of_a_moved_etude_are_its_own_and_positions_go() -> None:
    part = part_of(SCALE.format(key="Bb"))
    marked = replace(part.notes[0], marked_position="1")
    part = replace(part, notes=(marked, *part.notes[1:]))
    moved = transpose(part, -12)
    assert key_of(moved) != key_of(part)
    assert moved.title == "Scale (an octave lower)"
    low, *_, high = sorted(note.written.midi for note in moved.notes)
    names = {note.written.midi: str(note.written) for note in moved.notes}
    assert moved.remarks[-1] == (
        "Moved an octave lower than it is written: it goes from "
        f"{names[low]} to {names[high]}."
    )
    assert moved.notes[0].marked_position == ""
    assert moved.moved_semitones == -12
