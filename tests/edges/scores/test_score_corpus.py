"""Our reading against music21's own, on pieces that music21 ships.

Outside check: music21 10.5 (Cuthbert and Ariza) reads the same files by its own means
(`expandRepeats`, `stripTies`, `toSoundingPitch`).  `tests/benchmarks/corpus_formats`
does the same for hundreds of pieces.
"""

from __future__ import annotations

import re
import warnings
import zipfile
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from music21 import converter, dynamics, instrument, meter, note, spanner, stream
from music21.musicxml.m21ToXml import GeneralObjectExporter

from coach.score.note import DYNAMIC_STEPS, Note
from coach.score.phrase import Part
from tests.benchmarks.corpus_formats import (
    CORPUS,
    music21_sounds,
    parse,
    sounds_of,
    write_mei,
    write_midi,
)
from tests.edges.scores.score_samples import WHOLE, metronome, page, read, xml_note

SAME = (
    "bach/bwv66.6.mxl",
    "bach/bwv8.6.mxl",
    "corelli/opus3no1/1grave.xml",
    "monteverdi/madrigal.3.1.mxl",
    "ciconia/quod_jactatur.xml",
    "palestrina/Kyrie_00.krn",
    "palestrina/Agnus_I_10.krn",
    "ryansMammoth/WindThatShakesTheBarleyReel.abc",
    "ryansMammoth/YachtClubReel.abc",
    "ryansMammoth/HaveADrinkWithMe.abc",
)


def read_quietly(path: Path, part: str | None = None) -> Part:
    return read(path.read_bytes(), part=part, name=path.name)


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("name", SAME)
def test_notes_places_and_lengths_are_those_of_music21(name: str) -> None:
    path = CORPUS / name
    theirs, why = music21_sounds(path)
    assert why == ""
    assert sounds_of(read_quietly(path)) == theirs


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("name", ["bach/bwv66.6.mxl", "corelli/opus3no1/1grave.xml"])
def test_written_out_as_midi_and_mei_a_piece_stays_the_same(
    name: str, tmp_path: Path
) -> None:
    source = CORPUS / name
    for path in (write_midi(source, tmp_path), write_mei(source, tmp_path)):
        assert sounds_of(read_quietly(path)) == music21_sounds(path)[0]


def without_words(path: Path) -> bytes:
    """Take *cresc.* and *rit.* out of a score: we follow them, music21 does not."""
    with zipfile.ZipFile(path) as archive:
        name = next(n for n in archive.namelist() if not n.startswith("META-INF"))
        content = archive.read(name)
    return re.sub(rb"<words.*?</words>", b"", content, flags=re.S)


LYRICAL = ("mozart/k155/movement2.mxl", "mozart/k156/movement2.mxl")
Where = tuple[int, Fraction]


def wheres(part: Any) -> list[tuple[Where, Any]]:
    """Give bar, offset in it and every note and rest of a music21 part, in order."""
    return [
        ((measure.number, Fraction(element.offset)), element)
        for measure in part.getElementsByClass(stream.Measure)
        for element in measure.notesAndRests
    ]


def where(played: Note) -> Where:
    """Give bar and offset in it; the metres of these pieces count in quarters."""
    return played.bar, played.beat - 1


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("name", LYRICAL)
def test_each_note_is_as_loud_as_the_last_dynamic_that_music21_reads(name: str) -> None:
    path = CORPUS / name
    part = parse(path).parts[0]
    now, expected = 0, {}
    for measure in part.getElementsByClass(stream.Measure):
        for element in measure.elements:
            if isinstance(element, dynamics.Dynamic):
                now = DYNAMIC_STEPS[str(element.value)]
            elif isinstance(element, note.NotRest):
                expected[measure.number, Fraction(element.offset)] = now
    ours = [p for p in read(without_words(path)).notes if not p.is_grace]
    assert len(set(expected.values())) > 1
    # A tied note is one note here and two there.
    assert len(ours) > 200
    for played in ours:
        assert played.loud_start == expected[where(played)]


@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("name", LYRICAL)
def test_slurs_reach_the_notes_that_music21_says(name: str) -> None:
    """But for notes after a rest, which are begun anew."""
    path = CORPUS / name
    part = parse(path).parts[0]
    placed = wheres(part)
    order = {id(element): k for k, (_, element) in enumerate(placed)}
    expected = set()
    for slur in part.recurse().getElementsByClass(spanner.Slur):
        first, last = slur.getSpannedElements()[0], slur.getSpannedElements()[-1]
        for k in range(order[id(first)] + 1, order[id(last)] + 1):
            place, element = placed[k]
            if isinstance(element, note.NotRest) and not placed[k - 1][1].isRest:
                expected.add(place)
    ours = {where(note) for note in read_quietly(path).notes if note.is_slurred}
    assert len(expected) > 50
    assert ours == expected


@pytest.mark.filterwarnings("ignore")
def test_tempo_changes_take_as_long_as_music21_says() -> None:
    """Seconds through tempo marks and a repeat (`Stream.secondsMap`)."""
    closes = '<barline location="right"><repeat direction="backward"/></barline>'
    content = page(
        metronome("96") + WHOLE,
        xml_note("F3", 24) + metronome("60", "eighth") + xml_note("F3", 24) + closes,
        metronome("72", "quarter", 1) + WHOLE,
        WHOLE,
    )
    parsed: Any = converter.parseData(content, format="musicxml")
    flat = parsed.parts[0].expandRepeats().flatten()
    ours = read(content)
    assert len(ours.tempo_map.marks) == 5
    theirs = max(entry["endTimeSeconds"] for entry in flat.secondsMap)
    assert ours.tempo_map.seconds_at(ours.end) == pytest.approx(theirs)


def test_a_transposing_part_sounds_as_music21_says() -> None:
    """A B flat clarinet line, made by music21 and read from its MusicXML."""
    part: Any = stream.Part()  # type: ignore[no-untyped-call]
    part.append(instrument.Clarinet())  # type: ignore[no-untyped-call]
    part.append(meter.TimeSignature("4/4"))
    for name in ("C5", "E-5", "F#4", "B4"):
        part.append(note.Note(name))
    part.atSoundingPitch = False
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        exported = GeneralObjectExporter(part).parse()
        parsed: Any = converter.parseData(exported.decode(), format="musicxml")
        heard = parsed.parts[0].toSoundingPitch().flatten().notes
        sounding = [element.pitch.nameWithOctave for element in heard]
    ours = read(exported)
    assert [str(n.sounding).replace("b", "-") for n in ours.notes] == sounding
    assert ours.transposition == -2
    assert [note.length for note in ours.notes] == [Fraction(1)] * 4
