"""Read the Essen folk songs that music21 ships, with their phrases.

The line ends of a tune's body are its phrase ends (H. Schaffrath, The Essen Folksong
Collection, 1995: one line of the encoding is one phrase).  The files are read here
and not by `coach.edges.scores.score_files`, which rightly forgets where a line ends.

Bars are laid by the written bar lines and wherever a bar of the metre is full: a
line of the encoding often ends without a bar line.  Nothing else of a line's end
goes into the part.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from importlib.util import find_spec
from itertools import pairwise
from pathlib import Path

from coach.score.metre import Metre
from coach.score.note import Note, Pitch
from coach.score.phrase import Bar, Part
from coach.score.tempo import Tempo, TempoMap, TempoMark, beats

TOKEN = re.compile(r"([_=^]*)([A-Ga-gz])([,']*)(\d*)(/?\d*)(-?)|(\|)")
SHARPS = "FCGDAEB"
MAJOR_FIFTHS = {"C": 0, "G": 1, "D": 2, "A": 3, "E": 4, "B": 5, "H": 5, "F": -1}
MINOR_FIFTHS = -3
SPEED = TempoMap((TempoMark(beats(0), 90.0),))


@dataclass(frozen=True)
class Song:
    """One tune and where its phrases end."""

    file: str
    number: int
    """Place in its file, from 0."""
    music: str
    """The tune as it stands in the file, without titles, sources and remarks."""
    part: Part
    ends: tuple[int, ...]
    """Index of the last note of every phrase but the last."""


def folder() -> Path:
    """Find the songs in the installed music21, without importing it."""
    spec = find_spec("music21")
    assert spec is not None
    assert spec.origin is not None
    return Path(spec.origin).parent / "corpus" / "essenFolksong"


def read_songs(pattern: str = "*.abc", every: int = 1) -> list[Song]:
    """Read every so manyth tune of at least two notes."""
    songs = []
    for path in sorted(folder().glob(pattern)):
        tunes = re.split(r"(?m)^X:", path.read_text(encoding="latin-1"))[1:]
        for number, tune in list(enumerate(tunes))[::every]:
            song = read_song(path.name, number, f"X:{tune}")
            if song is not None:
                songs.append(song)
    return songs


@dataclass
class _Line:
    """A tune as it is being read."""

    notes: list[tuple[Fraction, Fraction, Pitch]]
    bar_lines: list[Fraction]
    ends: list[int]
    at: Fraction = Fraction(0)
    is_tied: bool = False


def read_song(file: str, number: int, text: str) -> Song | None:
    """Read one tune; None when there is hardly a note in it."""
    head: dict[str, str] = {}
    body = []
    for row in text.splitlines():
        field = re.match(r"([A-Z]):\s*(.*)", row)
        if field:
            head.setdefault(field[1], field[2].strip())
        elif row.strip():
            body.append(row)
    size = re.search(r"(\d+)/(\d+)", head.get("M", ""))
    full = Fraction(4 * int(size[1]), int(size[2])) if size else None
    fifths = _fifths(head["K"])
    line = _Line([], [], [])
    for row in body:
        _read_row(row, Fraction(head["L"]) * 4, fifths, full, line)
    if len(line.notes) < 2:
        return None
    bars = _lay_bars(line, full, int(size[2]) if size else 4, fifths)
    part = Part(
        title=head.get("T", "") or "Song",
        name="Voice",
        source="",
        notes=_place(line, bars),
        bars=bars,
        tempo=Tempo(90.0, beats(1)),
        tempo_map=SPEED,
    )
    last = len(line.notes) - 1
    ends = tuple(sorted({end for end in line.ends if end < last}))
    fields = [f"{name}:{head[name]}" for name in "XMLK" if name in head]
    return Song(file, number, "\n".join([*fields, *body]), part, ends)


def _fifths(key: str) -> int:
    fifths = MAJOR_FIFTHS[key[0]]
    fifths += 7 * key[1:].count("#") - 7 * len(re.findall("[bs]", key[1:]))
    return fifths + MINOR_FIFTHS * ("m" in key[1:])


def _read_row(
    row: str, unit: Fraction, fifths: int, full: Fraction | None, line: _Line
) -> None:
    """Read one phrase; accidentals hold to the end of the bar."""
    in_bar: dict[tuple[str, int], int] = {}
    bar_start = max(line.bar_lines, default=Fraction(0))
    for sign, letter, octave, count, divided, tie, bar_line in TOKEN.findall(row):
        if bar_line or (full and line.at - bar_start >= full):
            in_bar = {}
            bar_start = line.at
        if bar_line:
            line.bar_lines.append(line.at)
            continue
        length = unit * int(count or 1) / int(divided[1:] or 2 if divided else 1)
        if letter != "z":
            step, height = letter.upper(), 4 + letter.islower()
            height += octave.count("'") - octave.count(",")
            if sign:
                in_bar[step, height] = sign.count("^") - sign.count("_")
            usual = (SHARPS.index(step) < fifths) - (6 - SHARPS.index(step) < -fifths)
            pitch = Pitch(height, step, in_bar.get((step, height), usual))
            _add_note(line, length, pitch)
        line.at += length
        line.is_tied = bool(tie)
    if line.notes:
        line.ends.append(len(line.notes) - 1)


def _add_note(line: _Line, length: Fraction, pitch: Pitch) -> None:
    if line.is_tied and line.notes and line.notes[-1][2] == pitch:
        onset, before, _ = line.notes.pop()
        line.notes.append((onset, before + length, pitch))
    else:
        line.notes.append((line.at, length, pitch))


def _lay_bars(
    line: _Line, full: Fraction | None, unit: int, fifths: int
) -> tuple[Bar, ...]:
    """Give the bars, with zero at the first full one."""
    cuts = [at for at in sorted(set(line.bar_lines)) if 0 < at < line.at]
    spans = []
    start = Fraction(0)
    for cut in [*cuts, line.at]:
        while full and cut - start > full:
            spans.append((start, full))
            start += full
        spans.append((start, cut - start))
        start = cut
    longest = full or max(length for _, length in spans)
    metre = Metre(max(1, int(longest * unit / 4)), unit)
    pickup = spans[0][1] if len(spans) > 1 and spans[0][1] < longest else Fraction(0)
    missing = (longest - pickup) / metre.unit_beats if pickup else Fraction(0)
    return tuple(
        Bar(
            number=k + (0 if pickup else 1),
            onset=beats(start - pickup),
            length=beats(length),
            metre=metre,
            fifths=fifths,
            first_beat=1 + (missing if k == 0 else Fraction(0)),
        )
        for k, (start, length) in enumerate(spans)
    )


def _place(line: _Line, bars: tuple[Bar, ...]) -> tuple[Note, ...]:
    """Give the notes their bars and beats."""
    notes = []
    zero = bars[0].onset
    k = 0
    for at, length, pitch in line.notes:
        onset = at + zero
        while k + 1 < len(bars) and bars[k + 1].onset <= onset:
            k += 1
        bar = bars[k]
        beat = (onset - bar.onset) / bar.metre.unit_beats + bar.first_beat
        notes.append(
            Note(beats(onset), beats(length), pitch, pitch, bar.number, Fraction(beat))
        )
    return tuple(notes)


def tune_of(song: Song) -> tuple[int, ...]:
    """Give the intervals of a tune in semitones, the same in every key."""
    keys = [note.sounding.midi for note in song.part.notes]
    return tuple(b - a for a, b in pairwise(keys))


def in_bars_of_its_metre(part: Part) -> Part:
    """Lay the bars anew from the pickup on, whatever bar lines are written."""
    first = part.bars[0]
    full = first.metre.length
    bars = [first]
    while bars[-1].end < part.end:
        bars.append(
            Bar(bars[-1].number + 1, bars[-1].end, full, first.metre, first.fifths)
        )
    return replace(part, bars=tuple(bars))
