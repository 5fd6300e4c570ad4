"""Open a score with music21 and read a page of it; in the child process only."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from typing import Any
from xml.etree import ElementTree as ET

from music21 import converter, stream
from music21.midi import DeltaTime, MidiFile, MidiTrack
from music21.midi.translate import midiFileToStream
from music21.musicxml.xmlToM21 import MusicXMLImporter

from coach.edges.scores.in_child import music21_speed  # noqa: F401 - it acts when imported
from coach.edges.scores.in_child.formats.kern_named import mend_kern
from coach.edges.scores.in_child.formats.kern_signs import read_kern_signs
from coach.edges.scores.in_child.formats.mei_signs import (
    LineNote,
    prepare_mei,
    read_mei_signs,
)
from coach.edges.scores.in_child.formats.midi_line import thin_track
from coach.edges.scores.in_child.formats.midi_pickup import lead_in
from coach.edges.scores.in_child.formats.midi_scan import find_grid, scan_midi
from coach.edges.scores.in_child.formats.musicxml_parts import (
    keep_part,
    list_entries,
    title_of,
    to_partwise,
)
from coach.edges.scores.in_child.formats.score_formats import ScoreData, ScoreFormat
from coach.edges.scores.in_child.found_signs import FoundSigns
from coach.edges.scores.in_child.open_score import OpenScore
from coach.edges.scores.in_child.pages.music21_notes import ReadLine, top_pitch
from coach.edges.scores.in_child.pages.music21_page import read_page
from coach.edges.scores.in_child.sign_sentences import BEND
from coach.edges.scores.part_list import entry
from coach.edges.scores.score_limits import ScoreLimits, unreadable
from coach.planning.instrument.own_clef import say_guessed_clef
from coach.score.note import spelled_in
from coach.score.page import Page, PageBar
from coach.score.speed_words import SpeedMark
from coach.score.tempo import beats

ROUNDED = "A free MIDI recording: its notes are moved to the nearest written value."
NOT_IN_MIDI = (
    "A MIDI file has no slurs, dynamics, breaths and repeat signs: what is repeated "
    "is written out."
)
THINNED = "Where MIDI notes sound together, the top one is taken."

ENDLESS = "Notes that never end, or end where they begin, are left out."

MIDI_QPM = 120.0
"""Tempo of a file without a tempo event (Standard MIDI Files 1.0)."""

NO_TEMPO = "The MIDI file has no tempo: 120 quarter notes a minute hold."

NO_KEY = "The MIDI file gives no key: each note is spelled as if there were none."

AddToPart = Callable[[stream.Part, int, ReadLine], FoundSigns]


def open_score(data: ScoreData, name: str, limits: ScoreLimits) -> OpenScore:
    """Open a score of any format but ABC, which needs no music21."""
    match data.kind:
        case ScoreFormat.MUSICXML:
            return MusicXmlScore(data.content, name)
        case ScoreFormat.MIDI:
            return MidiScore(data.content, name, limits)
        case ScoreFormat.MEI:
            return mei_score(data.content)
        case _:
            return kern_score(data.text, name)


class MusicXmlScore:
    """A MusicXML score: its parts are listed without music21."""

    def __init__(self, content: bytes, name: str) -> None:
        self.name = name
        self.root = to_partwise(ET.fromstring(content))
        self.entries = list_entries(self.root)

    def read(self, number: int) -> Page:
        """Let music21 read no more than the part and the signs above it."""
        title = title_of(self.root)
        alone = keep_part(self.root, number)
        if alone.score.find(".//divisions") is None:
            raise unreadable(
                self.name, "says nowhere how long its notes are", "Export it again."
            )
        importer: Any = MusicXMLImporter()  # type: ignore[no-untyped-call]
        score: stream.Score = importer.xmlRootToScore(alone.score)
        part: stream.Part = importer.m21PartObjectsById[alone.identifier]
        found = FoundSigns(left_out=alone.left_out)
        return read_page(score, part, title, lambda _line: found)


class ParsedScore:
    """A score that music21 has read whole."""

    def __init__(
        self,
        parsed: stream.Score | stream.Part | stream.Opus,
        add: AddToPart,
        title: str = "",
    ) -> None:
        self.add = add
        self.title = title
        self.parts = list(_parts(parsed))
        self.entries = [
            entry(number, part.partName or "", _count_notes(part))
            for number, (_, part) in enumerate(self.parts, 1)
        ]

    def read(self, number: int) -> Page:
        """Read one part."""
        score, part = self.parts[number - 1]
        add = partial(self.add, part, number)
        return read_page(score, part, self.title or _title(score), add)


def kern_score(text: str, name: str) -> ParsedScore:
    """Read a kern score; music21 names a part after its spine."""

    def add(part: stream.Part, _number: int, _line: ReadLine) -> FoundSigns:
        spine = str(part.id).removeprefix("spine_")
        return read_kern_signs(text, int(spine)) if spine.isdecimal() else FoundSigns()

    mended = mend_kern(text, name)
    return ParsedScore(converter.parseData(mended, format="humdrum"), add)


def mei_score(content: bytes) -> ParsedScore:
    """Read an MEI score with its endings laid open."""
    mei = prepare_mei(ET.fromstring(content))
    text = ET.tostring(mei.root, encoding="unicode")

    def add(_part: stream.Part, number: int, line: ReadLine) -> FoundSigns:
        notes = [
            LineNote(str(element.id), bar, offset)
            for bar, measure in enumerate(line.measures)
            for offset, element in measure
            if top_pitch(element) is not None
        ]
        return read_mei_signs(mei, str(number), notes)

    return ParsedScore(converter.parseData(text, format="mei"), add, mei.title)


class MidiScore:
    """A MIDI file, which has no signs."""

    def __init__(self, content: bytes, name: str, limits: ScoreLimits) -> None:
        scan = scan_midi(content, name, limits)
        grid, self.is_on_grid = find_grid(scan)
        file = MidiFile()
        file.readstr(content)
        thinned = [
            thin_track(track, scan.division, grid, partial(_gap, track))
            for track in file.tracks
        ]
        self.is_thinned = any(is_thin for is_thin, _ in thinned)
        self.is_endless = any(is_endless for _, is_endless in thinned)
        self.is_bent = scan.is_bent
        parsed = midiFileToStream(file, quarterLengthDivisors=grid)
        self.score = ParsedScore(parsed, lambda *_: FoundSigns())
        self.entries = self.score.entries

    def read(self, number: int) -> Page:
        """Read one track; without a tempo event the standard's tempo holds."""
        page = self.score.read(number)
        remarks = [THINNED] if self.is_thinned else []
        remarks += [ENDLESS] if self.is_endless else []
        remarks += [f"{BEND}."] if self.is_bent else []
        remarks += [] if self.is_on_grid else [ROUNDED]
        if not page.speeds:
            remarks.append(NO_TEMPO)
            page = replace(page, speeds=(SpeedMark(beats(0), MIDI_QPM),))
        remarks += [] if page.key_name else [NO_KEY]
        bars, pickup = lead_in(page.bars)
        remarks += [pickup] if pickup else []
        remarks.append(say_guessed_clef(bars[0].clef))
        return replace(
            page,
            bars=tuple(_spelled(bar) for bar in bars),
            remarks=(*remarks, *page.remarks),
            left_out=(*page.left_out, NOT_IN_MIDI),
        )


def _spelled(bar: PageBar) -> PageBar:
    """Spell the notes of a bar by its key signature: MIDI has key numbers only."""
    notes = [(note, spelled_in(note.sounding.midi, bar.fifths)) for note in bar.notes]
    return replace(
        bar,
        notes=tuple(
            replace(note, written=pitch, sounding=pitch) for note, pitch in notes
        ),
    )


def _gap(track: MidiTrack, ticks: int) -> DeltaTime:
    """Make the time between two events of a track."""
    return DeltaTime(track, time=ticks)


def _parts(
    parsed: stream.Score | stream.Part | stream.Opus,
) -> Iterator[tuple[stream.Score, stream.Part]]:
    """Give each part with the score that it is in."""
    if isinstance(parsed, stream.Opus):
        for score in parsed.scores:
            yield from _parts(score)
    elif isinstance(parsed, stream.Part):
        yield stream.Score([parsed]), parsed
    else:
        for part in parsed.parts:
            yield parsed, part


def _count_notes(part: stream.Part) -> int:
    return sum(top_pitch(element) is not None for element in part.recurse().notes)


def _title(score: stream.Score) -> str:
    """Give title and movement of a score."""
    found = score.metadata
    if found is None:
        return ""
    title, movement = found.title or "", found.movementName or ""
    if title and movement and title != movement:
        return f"{title}: {movement}"
    return title or movement
