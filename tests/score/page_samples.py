"""What a page leaves open, for tests, and what is played, in one line of text."""

from __future__ import annotations

from fractions import Fraction

from coach.score.loudness import LoudnessSettings
from coach.score.note import Note
from coach.score.phrase import Part
from coach.score.played.graces import GraceSettings
from coach.score.played.unfolding import PageSettings
from coach.score.speeds import SpeedSettings

SETTINGS = PageSettings(
    LoudnessSettings(hairpin_steps=1.0, sforzato_steps=1.0, open_words_quarters=8.0),
    SpeedSettings(
        default_bpm=80,
        slower_share=0.5,
        faster_share=1.5,
        gradual_quarters=16,
        slowest_bpm=20,
        fastest_bpm=400,
        names_bpm=(("allegro", 126.0),),
    ),
    GraceSettings(0.125, 0.5, leaned_share=0.5, leaned_dotted_share=2 / 3),
)


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
