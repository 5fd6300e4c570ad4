"""Tunes for the tests of ABC, and what is played of them in one line of text."""

from __future__ import annotations

from fractions import Fraction

from coach.score.abc.abc_lines import split_tunes
from coach.score.abc.abc_reader import AbcReading, read_abc
from coach.score.note import Note
from coach.score.page import Page
from coach.score.phrase import Part
from coach.score.unfolding import unfold
from tests.score.page_samples import SETTINGS

HEAD = "X:1\nT:Study\nM:4/4\nL:1/4\nQ:1/4=60\nK:C\n"
FIRST_LINE = 7
"""Line of the music in a tune made with `HEAD`."""


def reading(tune: str) -> AbcReading:
    """Read the first tune of a text."""
    return read_abc(split_tunes(tune)[0])


def page_of(tune: str, voice: int = 0) -> Page:
    """Read a tune that has no fault."""
    found = reading(tune)
    assert not found.faults, found.faults
    return found.pages[voice]


def part_of(tune: str, voice: int = 0) -> Part:
    """Play a tune that has no fault."""
    return unfold(page_of(tune, voice), SETTINGS, most_bars=1000)


def body(music: str, voice: int = 0) -> Part:
    """Play some music under `HEAD`."""
    return part_of(HEAD + music + "\n", voice)


def told(part: Part) -> str:
    """Write down what is played: ``1: C4 z*1/2 D4*3/2 | 2: …``, lengths in quarters."""
    return " | ".join(
        f"{bar.number}: {' '.join(_inside(part, bar.onset, bar.end))}"
        for bar in part.bars
    )


def _inside(part: Part, start: Fraction, end: Fraction) -> list[str]:
    """Write down the notes that begin in a bar, and the rests between them."""
    told, place = [], start
    before = [note for note in part.notes if note.onset < start]
    if before:
        place = max(start, before[-1].end)
    for note in part.notes:
        if start <= note.onset < end:
            if note.onset > place:
                told.append(_length("z", note.onset - place))
            told.append(_note(note))
            place = note.end
    if place < end:
        told.append(_length("z", end - place))
    return told


def _note(note: Note) -> str:
    """Write down one note."""
    sign = "~" if note.is_slurred else ""
    return sign + _length(str(note.sounding), note.length)


def _length(name: str, length: Fraction) -> str:
    """Write a length behind a name, unless it is a quarter note."""
    return name if length == 1 else f"{name}*{length}"
