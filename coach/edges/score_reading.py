"""Open a score with music21 and read a page of it; in the child process only."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any, Protocol
from xml.etree import ElementTree as ET

from music21 import converter, note, stream
from music21.musicxml.xmlToM21 import MusicXMLImporter

from coach.edges.abc_tunes import AbcTune, split_tunes, tune_entries
from coach.edges.midi_scan import find_grid, scan_midi
from coach.edges.music21_notes import top_pitch
from coach.edges.music21_page import NO_ADDITIONS, Additions, read_page
from coach.edges.musicxml_parts import keep_part, list_entries, title_of, to_partwise
from coach.edges.part_entries import PartEntry, entry
from coach.edges.score_formats import ScoreData, ScoreFormat
from coach.edges.score_limits import ScoreLimits
from coach.score.page import Page

ROUNDED = "A free MIDI recording: its notes are moved to the nearest sixteenth."
COARSE_GRID = (4, 3)


class OpenScore(Protocol):
    """A score whose parts are known and can be read one at a time."""

    @property
    def entries(self) -> Sequence[PartEntry]:
        """Give its parts."""

    def read(self, number: int) -> Page:
        """Read one part as it is printed."""


def open_score(data: ScoreData, name: str, limits: ScoreLimits) -> OpenScore:
    """Open a score of any format."""
    match data.kind:
        case ScoreFormat.MUSICXML:
            return MusicXmlScore(data.content)
        case ScoreFormat.ABC:
            tunes = split_tunes(data.text)
            return AbcBook(tunes) if len(tunes) > 1 else abc_score(tunes[0])
        case ScoreFormat.MIDI:
            return midi_score(data.content, name, limits)
        case ScoreFormat.MEI:
            text = ET.tostring(ET.fromstring(data.content), encoding="unicode")
            return ParsedScore(converter.parseData(text, format="mei"))
        case ScoreFormat.KERN:
            return ParsedScore(converter.parseData(data.text, format="humdrum"))


class MusicXmlScore:
    """A MusicXML score: its parts are listed without music21."""

    def __init__(self, content: bytes) -> None:
        self.root = to_partwise(ET.fromstring(content))
        self.entries = list_entries(self.root)

    def read(self, number: int) -> Page:
        """Let music21 read no more than the part and the signs above it."""
        title = title_of(self.root)
        alone, identifier = keep_part(self.root, number)
        importer: Any = MusicXMLImporter()  # type: ignore[no-untyped-call]
        score: stream.Score = importer.xmlRootToScore(alone)
        part: stream.Part = importer.m21PartObjectsById[identifier]
        return read_page(score, part, title, add_nothing)


class AbcBook:
    """An ABC file of several tunes: each is listed as a part."""

    def __init__(self, tunes: Sequence[AbcTune]) -> None:
        self.tunes = tunes
        self.entries = tune_entries(tunes)

    def read(self, number: int) -> Page:
        """Let music21 read one tune, and of that the first voice."""
        return abc_score(self.tunes[number - 1]).read(1)


class ParsedScore:
    """A score that music21 has read whole."""

    def __init__(
        self,
        parsed: stream.Score | stream.Part | stream.Opus,
        title: str = "",
        remark: str = "",
    ) -> None:
        self.title = title
        self.remark = remark
        self.parts = list(_parts(parsed))
        self.entries = [
            entry(number, part.partName or "", _count_notes(part))
            for number, (_, part) in enumerate(self.parts, 1)
        ]

    def read(self, number: int) -> Page:
        """Read one part."""
        score, part = self.parts[number - 1]
        page = read_page(score, part, self.title or _title(score), add_nothing)
        return replace(page, remarks=tuple(filter(None, (self.remark, *page.remarks))))


def abc_score(tune: AbcTune) -> ParsedScore:
    """Read one ABC tune."""
    parsed = converter.parseData(tune.text, format="abc")
    return ParsedScore(parsed, tune.title)


def midi_score(content: bytes, name: str, limits: ScoreLimits) -> ParsedScore:
    """Read a MIDI file on the grid that its notes are on."""
    grid = find_grid(scan_midi(content, name, limits))
    parsed = converter.parseData(
        content, format="midi", quarterLengthDivisors=grid or COARSE_GRID
    )
    return ParsedScore(parsed, remark="" if grid else ROUNDED)


def add_nothing(_notes: Sequence[note.GeneralNote]) -> Additions:
    """Add nothing to what music21 reads."""
    return NO_ADDITIONS


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
    """Count notes and chords."""
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
