"""Read endings, dynamics, breaths, fermatas and tempo of MEI.

music21 reads the notes of an MEI score and leaves these out; of endings it leaves
out the notes as well.  So endings are made plain bars before it reads, and the signs
are read here.  They are those of the MEI Guidelines, version 4, module CMN.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from xml.etree.ElementTree import Element

from coach.edges.scores.in_child.formats.mei_bars import ID, MEI, write_out_bars
from coach.edges.scores.in_child.formats.mei_named import lay_open, words_in
from coach.edges.scores.in_child.found_signs import FoundSigns, FoundSpeed, NoteSigns
from coach.edges.scores.in_child.sign_sentences import RESTING

QUICK = ("unacc",)
SPEEDS = {"mm", "midi.bpm"}
BREATHS = {"breath": "breath", "caesura": "caesura"}
ORNAMENTS = {
    "trill": "trill-mark",
    "turn": "turn",
    "mordent": "mordent",
    "gliss": "glissando",
}
COMMON_UNIT = 4


@dataclass(frozen=True, slots=True)
class LineNote:
    """A note of the line that is read, as MEI knows it."""

    identity: str
    """Its ``xml:id``."""

    bar: int
    """The bar it stands in, counted from 0."""

    offset: Fraction
    """From the start of that bar, in quarter notes."""


@dataclass(slots=True)
class MeiScore:
    """An MEI score made ready for music21."""

    root: Element
    """The document: every note has an id, no bar is inside an ending."""

    title: str
    """Title of the file's description, or of the work."""

    measures: list[Element] = field(default_factory=list)
    """Bars in order."""

    endings: list[set[int]] = field(default_factory=list)
    """Numbers of the ending that each bar is in; 0 for one without a number."""

    left_out: list[tuple[int, str]] = field(default_factory=list)
    """Bar and what of it is not played as it is written."""


def prepare_mei(root: Element) -> MeiScore:
    """Take bars out of endings, name every staff and note, find the title."""
    write_out_bars(root)
    inside: dict[int, set[int]] = {}
    for ending in root.iter(f"{MEI}ending"):
        numbers = {int(n) for n in re.findall(r"\d{1,3}", ending.get("n", ""))} or {0}
        for measure in ending.iter(f"{MEI}measure"):
            inside[id(measure)] = numbers
    for parent in list(root.iter()):
        _flatten(parent)
    for staff in root.iter(f"{MEI}staffDef"):
        label = staff.find(f"{MEI}label")
        if label is not None:
            staff.attrib.setdefault("label", _words(label))
    measures = list(root.iter(f"{MEI}measure"))
    left_out = lay_open(measures, root)
    for k, note in enumerate(root.iter()):
        if note.tag in (f"{MEI}note", f"{MEI}chord", f"{MEI}rest"):
            note.attrib.setdefault(ID, f"coach-{k}")
    endings = [inside.get(id(measure), set()) for measure in measures]
    return MeiScore(root, _title(root), measures, endings, left_out)


def read_mei_signs(score: MeiScore, staff: str, line: Sequence[LineNote]) -> FoundSigns:
    """Read the signs of one staff, and of the whole score, for a line of notes."""
    reading = _Reading(score, staff, line)
    for k, measure in enumerate(score.measures):
        for element in measure:
            reading.read(k, element)
        for element, text, word in words_in(measure):
            reading.read_words(k, element, text, word)
    reading.read_defined()
    for k, note in enumerate(line):
        printed = reading.elements.get(note.identity)
        if printed is not None and printed.get("grace") is not None:
            quick = printed.get("grace") in QUICK or "stem.mod" in printed.attrib
            reading.found.notes[k].takes_from_before = quick
    return reading.found


def _flatten(parent: Element) -> None:
    """Put the children of endings in their place."""
    while any(child.tag == f"{MEI}ending" for child in parent):
        children = [
            inner
            for child in parent
            for inner in (child if child.tag == f"{MEI}ending" else [child])
        ]
        parent[:] = children


def _title(root: Element) -> str:
    """Give the first title that says anything."""
    for path in ("fileDesc", "work"):
        for part in root.iter(f"{MEI}{path}"):
            for title in part.iter(f"{MEI}title"):
                words = " ".join("".join(title.itertext()).split())
                if words:
                    return words
    return ""


class _Reading:
    """What was met on the way through a score."""

    def __init__(self, score: MeiScore, staff: str, line: Sequence[LineNote]) -> None:
        self.staff = staff
        self.places = [(note.bar, note.offset) for note in line]
        self.order = {note.identity: k for k, note in enumerate(line)}
        self.elements = {
            element.get(ID, ""): element
            for element in score.root.iter()
            if element.tag in (f"{MEI}note", f"{MEI}chord")
        }
        for chord in score.root.iter(f"{MEI}chord"):
            for member in chord.iter(f"{MEI}note"):
                if chord.get(ID, "") in self.order:
                    self.order[member.get(ID, "")] = self.order[chord.get(ID, "")]
        self.score = score
        self.units = list(_units(score))
        self.found = FoundSigns(
            notes=[NoteSigns() for _ in line],
            endings=list(score.endings),
            left_out=list(score.left_out),
        )

    def read(self, bar: int, element: Element) -> None:
        """Take in one sign of a bar."""
        kind = element.tag.removeprefix(MEI)
        if kind in ("tempo", "reh"):
            self._read_for_all(bar, element, kind)
            return
        if element.get("staff", self.staff).split()[:1] != [self.staff]:
            return
        if kind == "hairpin":
            self._read_hairpin(bar, element)
            return
        note = self._note_at(bar, element, "startid", "tstamp")
        if kind == "fermata" and (note is None or not self._is_at(note, bar, element)):
            self.found.left_out.append((bar, RESTING))
            return
        if note is None:
            return
        if kind == "dynam":
            self._read_dynamic(note, _words(element))
        else:
            self._read_at_note(self.found.notes[note], kind, element)

    def read_words(self, bar: int, element: Element, text: str, word: str) -> None:
        """Take in words that lead through the page, or that may be a tempo."""
        if word:
            self.found.words.append((bar, word))
        elif text:
            place, offset = self._place(bar, element.get("tstamp", "1"))
            self.found.speeds.append(FoundSpeed(place, offset, None, None, text))

    def _is_at(self, note: int, bar: int, element: Element) -> bool:
        """Tell whether a sign stands at a note, not at a rest before it."""
        stamp = element.get("tstamp")
        return stamp is None or self.places[note] == self._place(bar, stamp)

    def _read_at_note(self, note: NoteSigns, kind: str, element: Element) -> None:
        """Take in a sign at a note."""
        if kind in BREATHS:
            note.breath_mark = BREATHS[kind]
        elif kind == "fermata":
            note.has_fermata = True
        elif kind in ORNAMENTS:
            note.articulations.add(ORNAMENTS[kind])
        elif kind == "fing":
            note.marked_position = _words(element)

    def _read_dynamic(self, note: int, words: str) -> None:
        """Take in a dynamic; *cresc.* lasts to the next dynamic."""
        if words:
            self.found.dynamics.append((note, words.split()[0]))

    def _read_hairpin(self, bar: int, element: Element) -> None:
        """Take in a hairpin between two places."""
        first = self._note_at(bar, element, "startid", "tstamp")
        last = self._note_at(bar, element, "endid", "tstamp2", is_end=True)
        if first is not None and last is not None and last >= first:
            direction = 1 if element.get("form") == "cres" else -1
            self.found.hairpins.append((first, last, direction))

    def _read_for_all(self, bar: int, element: Element, kind: str) -> None:
        """Take in a tempo or a rehearsal mark."""
        bar, offset = self._place(bar, element.get("tstamp", "1"))
        if kind == "reh":
            self.found.boxes.append((bar, offset, _words(element)))
            return
        self._read_speed(bar, offset, element)

    def read_defined(self) -> None:
        """Take in the speeds that score definitions give between the bars."""
        bar = 0
        for element in self.score.root.iter():
            bar += element.tag == f"{MEI}measure"
            if element.tag == f"{MEI}scoreDef" and element.attrib.keys() & SPEEDS:
                self._read_speed(bar, Fraction(0), element)

    def _read_speed(self, bar: int, offset: Fraction, element: Element) -> None:
        """Take in how fast an element says that it goes."""
        number, beat = _number(element.get("mm", "")), None
        if number is not None and element.get("mm.unit", "").isdecimal():
            dots = _number(element.get("mm.dots", "0")) or 0
            beat = Fraction(4, int(element.get("mm.unit", "4"))) * (
                2 - Fraction(1, 2 ** int(dots))
            )
        if number is None:
            number = _number(element.get("midi.bpm", ""))
        speed = None if number is None else number * float(beat or 1)
        words = "" if element.tag == f"{MEI}scoreDef" else _words(element)
        self.found.speeds.append(FoundSpeed(bar, offset, speed, beat, words))

    def _note_at(
        self,
        bar: int,
        element: Element,
        by_id: str,
        by_time: str,
        *,
        is_end: bool = False,
    ) -> int | None:
        """Find the note a sign belongs to: by its id, or by the beat it stands on."""
        identity = element.get(by_id, "").removeprefix("#")
        if identity:
            return self.order.get(identity)
        stamp = element.get(by_time)
        if stamp is None:
            return None
        place = self._place(bar, stamp)
        if is_end:
            k = bisect_right(self.places, place) - 1
        else:
            k = bisect_left(self.places, place)
        return k if 0 <= k < len(self.places) else None

    def _place(self, bar: int, stamp: str) -> tuple[int, Fraction]:
        """Turn ``3.5`` or ``1m+2`` into a bar and an offset in quarter notes."""
        bars, _, beat = stamp.rpartition("m+")
        bar += int(bars) if bars.isdecimal() else 0
        unit = self.units[min(bar, len(self.units) - 1)]
        number = _number(beat)
        offset = Fraction(number if number is not None else 1).limit_denominator(96) - 1
        return bar, max(Fraction(0), offset * Fraction(4, unit))


def _units(score: MeiScore) -> Iterator[int]:
    """Give the lower figure of the time signature in force in each bar."""
    unit = COMMON_UNIT
    for element in score.root.iter():
        written = element.get("meter.unit") or (
            element.get("unit") if element.tag == f"{MEI}meterSig" else None
        )
        if written is not None and written.isdecimal() and int(written) > 0:
            unit = int(written)
        if element.tag == f"{MEI}measure":
            yield unit


def _words(element: Element) -> str:
    """Give the text of an element in one line."""
    return " ".join("".join(element.itertext()).split())


def _number(text: str) -> float | None:
    """Read a number; None if there is none."""
    found = re.fullmatch(r"\s*(\d{1,6}(\.\d{1,6})?)\s*", text)
    return float(found.group(1)) if found else None
