"""The lines that players read of a MusicXML score: parts, staves, later voices."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from xml.etree.ElementTree import Element, SubElement

FIRST_VOICE = "1"
"""Where a note stands that names no voice."""

MOST_VOICES = 8
"""Voices of a staff that can be chosen; our own choice: engravers write up to four."""


@dataclass(frozen=True, slots=True)
class ScoreLine:
    """What one player may read of a score."""

    part: Element
    """The part that it is in."""

    staff: int
    """The staff that it is on; 0 where the part has one only."""

    name: str
    """What it is called on the page."""

    voice: str = ""
    """A later voice of the staff; empty for the first one and what goes with it."""

    @property
    def notes(self) -> Iterator[Element]:
        """Give all notes of its part."""
        return self.part.iterfind("measure/note")

    def sounds(self, note: Element) -> bool:
        """Tell whether a note of its part sounds in it; a chord sounds once."""
        return (
            note.find("pitch") is not None
            and note.find("chord") is None
            and note.find("cue") is None
            and self.has(note)
        )

    def has(self, note: Element) -> bool:
        """Tell whether a note or a rest stands in it."""
        is_here = not self.staff or note.findtext("staff") == str(self.staff)
        return is_here and self.voice in ("", _voice_of(note))


def lines_of(score: Element) -> Iterator[ScoreLine]:
    """Give every staff of a score, then every later voice of one."""
    staves = list(_staves(score))
    yield from staves
    for line in staves:
        voices = dict.fromkeys(_voice_of(n) for n in line.notes if line.sounds(n))
        for k, voice in enumerate(list(voices)[1:MOST_VOICES], 2):
            yield replace(line, voice=voice, name=f"{line.name} (voice {k})".strip())


def name_voices(part: Element) -> None:
    """Name the voice of every note where some have a name: the others lie in the first.

    music21 would put notes without a voice into the same line as those of another.
    """
    notes = part.findall("measure/note")
    nameless = [note for note in notes if note.find("voice") is None]
    for note in nameless if len(nameless) < len(notes) else ():
        SubElement(note, "voice").text = FIRST_VOICE


def _voice_of(note: Element) -> str:
    """Give the voice that a note stands in."""
    return (note.findtext("voice") or FIRST_VOICE).strip()


def keep_voice(line: ScoreLine) -> Iterator[int]:
    """Silence the other voices of a staff; give the bars that only they have.

    There the player of the second voice plays the first (common practice, no published
    source: what both play is written once).
    """
    staff = replace(line, voice="")
    for k, measure in enumerate(line.part.iterfind("measure")):
        if not any(map(line.has, measure.iterfind("note"))):
            if any(map(staff.sounds, measure.iterfind("note"))):
                yield k
            continue
        for place, note in reversed(list(enumerate(measure))):
            if note.tag == "note" and staff.has(note) and not line.has(note):
                silence(measure, place)


def silence(measure: Element, place: int) -> None:
    """Put the time that a note takes in its place."""
    note = measure[place]
    measure.remove(note)
    duration = note.find("duration")
    if duration is not None and note.find("chord") is None:
        measure.insert(place, _forward(duration))


def _staves(score: Element) -> Iterator[ScoreLine]:
    """Give each part, and each staff of one that has several."""
    names = {
        listed.get("id", ""): listed.findtext("part-name")
        or listed.findtext("score-instrument/instrument-name")
        or listed.findtext("part-abbreviation")
        or ""
        for listed in score.iterfind("part-list/score-part")
    }
    for part in score.iterfind("part"):
        name = names.get(part.get("id", ""), "")
        staves = sorted(
            {
                int(staff.text)
                for staff in part.iterfind("measure/note/staff")
                if staff.text and staff.text.isdecimal()
            }
        )
        if len(staves) <= 1:
            yield ScoreLine(part, 0, name)
            continue
        for staff in staves:
            yield ScoreLine(part, staff, f"{name} (staff {staff})".strip())


def _forward(duration: Element) -> Element:
    """Make a step in time."""
    forward = Element("forward")
    forward.append(duration)
    return forward
