"""Read the lines of the chorales that music21 ships, with their fermatas apart.

A fermata there ends a line of verse (common practice, no published source).  The files
are read here, since `coach.edges.scores.score_files` takes seconds for each, and only
what a line of notes needs: its first voice, ties, metres, keys and simple repeats.
"""

from __future__ import annotations

import zipfile
from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field, replace
from fractions import Fraction
from importlib.util import find_spec
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree
from zlib import crc32

from coach.score.metre import COMMON_TIME, Metre
from coach.score.note import Note, Pitch
from coach.score.phrase import Bar, Part
from coach.score.tempo import Tempo, TempoMap, TempoMark, beats
from tests.benchmarks.same_tunes import find_families

FEWEST_FERMATAS = 3
TUNES_TO_A_REPORTED = 4
SPEED = TempoMap((TempoMark(beats(0), 90.0),))


@dataclass(frozen=True)
class Line:
    """One voice of a chorale without its fermatas, and where those stood."""

    file: str
    voice: int
    """From the top, from 0."""
    part: Part
    marked: frozenset[int]
    """The notes that a fermata stood on, but for the last note of all."""


@dataclass
class _Sheet:
    """What is in force while a voice is read."""

    divisions: int = 1
    metre: Metre = COMMON_TIME
    fifths: int = 0


@dataclass
class _Written:
    """One bar as it stands on the page: notes with their place in it."""

    metre: Metre
    fifths: int
    length: Fraction = Fraction(0)
    notes: list[tuple[Fraction, Fraction, Pitch, bool, bool]] = field(
        default_factory=list
    )
    """Place, length, pitch, whether a tie ends here, whether a fermata stands here."""
    begins: bool = False
    """A repeat begins with it."""
    ends: bool = False
    """A repeat ends with it."""


def chorale_files() -> list[Path]:
    """List the files in the installed music21, without importing it."""
    spec = find_spec("music21")
    assert spec is not None
    assert spec.origin is not None
    folder = Path(spec.origin).parent / "corpus" / "bach"
    return sorted(path for path in folder.iterdir() if path.suffix in {".mxl", ".xml"})


def read_lines(voices: Sequence[int] = (0,)) -> Iterator[Line]:
    """Read some voices of every chorale whose line ends are marked."""
    for path in chorale_files():
        parts = _root(path).findall("part")
        for voice in voices:
            if voice < len(parts):
                line = _line(path, voice, parts[voice])
                if len(line.marked) >= FEWEST_FERMATAS:
                    yield line


def families_of(lines: Sequence[Line]) -> dict[str, str]:
    """Give for each file the first one whose top line is the same tune."""
    tops = [line for line in lines if line.voice == 0]
    first = find_families([tune_of(line.part) for line in tops])
    return {line.file: tops[k].file for line, k in zip(tops, first, strict=True)}


def share_out(lines: Sequence[Line]) -> tuple[list[Line], list[Line]]:
    """Divide lines: for learning and tuning, and for reporting and nothing else.

    Of about four tunes one is for reporting; the settings of a tune stay together.
    """
    families = families_of(lines)
    learned: list[Line] = []
    reported: list[Line] = []
    for line in lines:
        is_kept = crc32(families[line.file].encode()) % TUNES_TO_A_REPORTED == 0
        (reported if is_kept else learned).append(line)
    return learned, reported


def tune_of(part: Part) -> tuple[int, ...]:
    """Give the intervals of a tune in semitones, the same in every key."""
    keys = [note.sounding.midi for note in part.notes]
    return tuple(b - a for a, b in pairwise(keys))


def _root(path: Path) -> ElementTree.Element:
    """Open a file, packed or not."""
    if path.suffix == ".xml":
        return ElementTree.fromstring(path.read_bytes())
    with zipfile.ZipFile(path) as packed:
        names = [name for name in packed.namelist() if name.endswith("xml")]
        return ElementTree.fromstring(packed.read(min(names, key=_is_container)))


def _is_container(name: str) -> bool:
    """Tell the file that lists the others of a packed score."""
    return name.startswith("META-INF")


def _line(path: Path, voice: int, part: ElementTree.Element) -> Line:
    """Read one voice, and take off its fermatas."""
    sheet = _Sheet()
    written = [_bar(bar, sheet) for bar in part.findall("measure")]
    bars, notes = _played([bar for bar in written if bar.length])
    marked = {k for k, note in enumerate(notes[:-1]) if note.has_fermata}
    return Line(path.name, voice, _part(path, bars, notes), frozenset(marked))


def _part(path: Path, bars: Sequence[Bar], notes: Sequence[Note]) -> Part:
    """Bind bars and bare notes."""
    return Part(
        title=path.stem,
        name="Voice",
        source="",
        notes=tuple(replace(note, has_fermata=False) for note in notes),
        bars=tuple(bars),
        tempo=Tempo(90.0, beats(1)),
        tempo_map=SPEED,
    )


def _bar(measure: ElementTree.Element, sheet: _Sheet) -> _Written:
    """Read one bar's first voice."""
    for found in measure.findall("attributes"):
        sheet.divisions = int(found.findtext("divisions") or sheet.divisions)
        sheet.fifths = int(found.findtext("key/fifths") or sheet.fifths)
        if found.find("time") is not None:
            count, unit = found.findtext("time/beats"), found.findtext("time/beat-type")
            sheet.metre = Metre(int(count or 4), int(unit or 4))
    bar = _Written(sheet.metre, sheet.fifths)
    ways = {sign.get("direction") for sign in measure.findall("barline/repeat")}
    bar.begins, bar.ends = "forward" in ways, "backward" in ways
    for note in measure.findall("note"):
        is_first_voice = (note.findtext("voice") or "1") == "1"
        is_timed = note.find("grace") is None and note.find("chord") is None
        if is_first_voice and is_timed:
            _add(bar, note, Fraction(int(note.findtext("duration") or 0)), sheet)
    return bar


def _add(
    bar: _Written, note: ElementTree.Element, ticks: Fraction, sheet: _Sheet
) -> None:
    """Put a note, or the time of a rest, into its bar."""
    length = ticks / sheet.divisions
    if note.find("pitch") is not None:
        pitch = Pitch(
            int(note.findtext("pitch/octave") or 4),
            note.findtext("pitch/step") or "C",
            int(float(note.findtext("pitch/alter") or 0)),
        )
        is_tied = any(tie.get("type") == "stop" for tie in note.findall("tie"))
        has_fermata = note.find("notations/fermata") is not None
        bar.notes.append((bar.length, length, pitch, is_tied, has_fermata))
    bar.length += length


def _played(written: Sequence[_Written]) -> tuple[list[Bar], list[Note]]:
    """Play the bars, repeats once more; zero is at the first full bar."""
    is_pickup = written[0].length < written[0].metre.length
    at = -written[0].length if is_pickup else Fraction(0)
    bars: list[Bar] = []
    notes: list[Note] = []
    for k in _order(written):
        here = written[k]
        missing = here.metre.length - here.length
        before = bars[-1].length if bars else missing
        first_beat = Fraction(1)
        if 0 < missing == before:
            first_beat += missing / here.metre.unit_beats
        bar = Bar(
            number=k + (0 if is_pickup else 1),
            onset=beats(at),
            length=beats(here.length),
            metre=here.metre,
            fifths=here.fifths,
            first_beat=first_beat,
        )
        bars.append(bar)
        _play(notes, here, bar)
        at += here.length
    return bars, notes


def _play(notes: list[Note], here: _Written, bar: Bar) -> None:
    """Add a bar's notes, tied ones to what they are tied to."""
    for place, length, pitch, is_tied, has_fermata in here.notes:
        onset = bar.onset + place
        before = notes[-1] if notes else None
        if is_tied and before and before.written == pitch and before.end == onset:
            notes[-1] = replace(
                before,
                length=beats(before.length + length),
                has_fermata=before.has_fermata or has_fermata,
            )
            continue
        beat = Fraction(place / bar.metre.unit_beats + bar.first_beat)
        notes.append(
            Note(
                onset=beats(onset),
                length=beats(length),
                written=pitch,
                sounding=pitch,
                bar=bar.number,
                beat=beat,
                has_fermata=has_fermata,
            )
        )


def _order(written: Sequence[_Written]) -> Iterator[int]:
    """Give the bars in playing order; every repeat is played once more."""
    start = k = 0
    again: AbstractSet[int] = frozenset()
    while k < len(written):
        start = k if written[k].begins else start
        yield k
        if written[k].ends and k not in again:
            again, k = again | {k}, start
            continue
        start = k + 1 if written[k].ends else start
        k += 1
