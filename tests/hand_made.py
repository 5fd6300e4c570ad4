"""Parts written by hand, a word a note: for tests that need a little music."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction

from coach.score.metre import Metre
from coach.score.note import Note, Pitch
from coach.score.phrase import Bar, Part
from coach.score.tempo import Beats, Tempo, TempoMap, TempoMark, beats

LENGTHS = {sign: Fraction(4, 2**k) for k, sign in enumerate("whqes")}
COMMON_TIME = Metre(4, 4)
WORD = re.compile(r"(?P<slur>~?)(?P<pitch>r|[A-G](?:#|b)?\d)(?P<length>[whqes]\.?)")


def part_of(
    words: str,
    *,
    bpm: float = 60,
    metre: Metre = COMMON_TIME,
    title: str = "By Hand",
    loud: float = 0.0,
) -> Part:
    """Make a part from words such as ``Bb3e ~D4s rq``: ``~`` slurs, ``r`` rests.

    Lengths are w h q e s, with a dot if wanted; a comma after a note is a breath
    mark on the page.  Bars follow the metre from the first note on.
    """
    place = Fraction(0)
    notes: list[Note] = []
    for word in words.split():
        found = WORD.match(word)
        assert found, word
        length = LENGTHS[found["length"][0]]
        if found["length"].endswith("."):
            length *= Fraction(3, 2)
        if found["pitch"] != "r":
            notes.append(_note(found, place, length, metre, loud, word))
        place += length
    count = -(-place // metre.length)
    return Part(
        title=title,
        name="Trombone",
        source="by-hand.musicxml",
        notes=tuple(notes),
        bars=tuple(
            Bar(k + 1, Beats(metre.length * k), metre.length, metre)
            for k in range(max(1, count))
        ),
        tempo=Tempo(bpm, metre.beat),
        tempo_map=TempoMap((TempoMark(beats(0), bpm * float(metre.beat)),)),
        key_name="B flat major",
    )


def played(words: str, order: list[int]) -> Part:
    """Play the bars of a part by hand in an order, as repeat signs ask for."""
    page = part_of(words)
    notes, bars = [], []
    at = beats(0)
    for number in order:
        bar = page.bars[number - 1]
        later = at - bar.onset
        bars.append(replace(bar, onset=at))
        notes += [
            replace(note, onset=Beats(note.onset + later))
            for note in page.notes
            if note.bar == number
        ]
        at = Beats(at + bar.length)
    return replace(page, notes=tuple(notes), bars=tuple(bars))


def held(bars: int = 4) -> Part:
    """Make a part of one note that is held through bars, and one in the bar after."""
    part = part_of("F3w " * bars + "G3w")
    first = replace(part.notes[0], length=Beats(Fraction(4 * bars)))
    return replace(part, notes=(first, part.notes[-1]))


def _note(
    found: re.Match[str],
    place: Fraction,
    length: Fraction,
    metre: Metre,
    loud: float,
    word: str,
) -> Note:
    """Make one note of a word."""
    name = found["pitch"]
    alter = name.count("#") - name[1:].count("b")
    pitch = Pitch(int(name[-1]), name[0], alter)
    return Note(
        onset=Beats(place),
        length=Beats(length),
        written=pitch,
        sounding=pitch,
        bar=int(place // metre.length) + 1,
        beat=place % metre.length / metre.unit_beats + 1,
        loud_start=loud,
        loud_end=loud,
        is_slurred=bool(found["slur"]),
        breath_mark="breath" if word.endswith(",") else "",
    )
