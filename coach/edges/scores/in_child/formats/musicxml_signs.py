"""Signs of MusicXML that music21 leaves out: some are written otherwise, others named.

What leads through the page only for the ear (``sound``) or at a bar line becomes words
above the staff, and a bar that repeats another gets its notes.  What is not played as
it is written is named with its bars.  The signs are those of MusicXML 4.0 (W3C Music
Notation Community Group, 2021).
"""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy
from xml.etree.ElementTree import Element, SubElement

MOST_NAMED = 4
"""Bars that one sentence names; our own choice."""

HEARD = {
    "dacapo": "D.C.",
    "dalsegno": "D.S.",
    "fine": "Fine",
    "tocoda": "To Coda",
    "segno": "Segno",
    "coda": "Coda",
}
"""What a ``sound`` says, and the words that say the same."""

AT_BAR_LINES = {"segno": "Segno", "coda": "Coda"}
IN_TIME = ("note", "backup", "forward")

GLISSANDO = "A glissando counts as the notes at its ends"
TRILL = "A trill counts as one long note"
TREMOLO = "A tremolo counts as one long note"
ORNAMENT = "An ornament counts as its main note"
BEND = "A bend, scoop or fall counts as its plain note"
CHORDS = "The chord symbols are left out"
RESTING = "A fermata on a rest or bar line is left out"
NOTEHEADS = "Notes with special noteheads are played as plain ones"
OF_A_NOTE = {
    "glissando": GLISSANDO,
    "slide": GLISSANDO,
    "trill-mark": TRILL,
    "wavy-line": TRILL,
    "tremolo": TREMOLO,
    **dict.fromkeys(
        (
            *("turn", "inverted-turn", "delayed-turn", "delayed-inverted-turn"),
            *("vertical-turn", "inverted-vertical-turn", "mordent", "shake"),
            *("inverted-mordent", "schleifer", "haydn", "other-ornament"),
        ),
        ORNAMENT,
    ),
    **dict.fromkeys(("bend", "scoop", "plop", "doit", "falloff"), BEND),
    "harmonic": "A harmonic counts as its plain note",
    "soft-accent": "A soft accent is left out",
    "arpeggiate": "An arpeggio counts as its top note",
    "non-arpeggiate": "An arpeggio counts as its top note",
    "cue": "The cue notes are left out",
    "unpitched": "The percussion notes are left out",
}
OF_A_BAR = {
    "harmony": CHORDS,
    "figured-bass": CHORDS,
    "pedal": "The pedal marks are left out",
    "octave-shift": "Notes under an octave line are shown where they sound",
    "slash": "Bars with slashes instead of notes are taken as they are written out",
    "beat-repeat": "Signs that repeat a beat are taken as they are written out",
}
PLAIN_HEADS = ("", "normal", "none")


def write_out(part: Element) -> None:
    """Write out in words and notes what music21 would leave out."""
    for measure in part.iterfind("measure"):
        _say_what_sounds(measure)
        _say_bar_lines(measure)
    _repeat_measures(part.findall("measure"))


def name_left_out(part: Element, staff: int) -> tuple[str, ...]:
    """Say what is not played as it is written, and in which bars.

    `staff` is the staff that is read; 0 where the part has one only.
    """
    found: dict[str, list[str]] = {}
    for measure in part.iterfind("measure"):
        number = measure.get("number", "")
        for what in dict.fromkeys(_in_measure(measure, staff)):
            found.setdefault(what, []).append(number)
    return tuple(f"{what}: {_bars(numbers)}." for what, numbers in found.items())


def _bars(numbers: list[str]) -> str:
    """Name the first bars of many."""
    more = " and others" if len(numbers) > MOST_NAMED else ""
    return f"bar {', '.join(numbers[:MOST_NAMED])}{more}"


def _in_measure(measure: Element, staff: int) -> Iterator[str]:
    """Find what is not played as it is written in one measure."""
    for child in measure:
        if child.tag == "note":
            if not staff or child.findtext("staff") in (None, str(staff)):
                yield from _in_note(child)
        elif child.tag == "barline":
            if child.find("fermata") is not None:
                yield RESTING
        else:
            yield from (OF_A_BAR[e.tag] for e in child.iter() if e.tag in OF_A_BAR)


def _in_note(note: Element) -> Iterator[str]:
    """Find what is not played as it is written at one note."""
    yield from (OF_A_NOTE[e.tag] for e in note.iter() if e.tag in OF_A_NOTE)
    if note.find("rest") is not None and note.find("notations/fermata") is not None:
        yield RESTING
    if (note.findtext("notehead") or "").strip() not in PLAIN_HEADS:
        yield NOTEHEADS
    if not _is_whole(note.findtext("pitch/alter") or "0"):
        yield "A quarter tone is moved to the semitone below"
    if note.get("print-object") == "no" and note.find("pitch") is not None:
        yield "Notes that are hidden on the page are played"


def _is_whole(alter: str) -> bool:
    """Tell whole semitones from quarter tones; nonsense is music21's to refuse."""
    try:
        return float(alter).is_integer()
    except ValueError:
        return True


def _say_what_sounds(measure: Element) -> None:
    """Put words beside what a sound says of the way through the page."""
    for k, child in reversed(list(enumerate(measure))):
        sounds = [child] if child.tag == "sound" else child.findall("sound")
        said = [HEARD[name] for s in sounds for name in HEARD if s.get(name)]
        for words in said:
            measure.insert(k, _direction(words))


def _say_bar_lines(measure: Element) -> None:
    """Put words where a bar line has a segno or a coda."""
    for line in measure.findall("barline"):
        for tag, words in AT_BAR_LINES.items():
            if line.find(tag) is not None:
                place = 0 if line.get("location") == "left" else len(measure)
                measure.insert(place, _direction(words))


def _direction(words: str) -> Element:
    """Make words above the staff."""
    direction = Element("direction")
    kind = SubElement(direction, "direction-type")
    SubElement(kind, "words").text = words
    return direction


def _repeat_measures(measures: list[Element]) -> None:
    """Give bars that repeat others the notes of those."""
    distance = 0
    for k, measure in enumerate(measures):
        for sign in measure.iterfind("attributes/measure-style/measure-repeat"):
            count = (sign.text or "").strip()
            is_start = sign.get("type") == "start" and count.isdecimal()
            distance = int(count[:3]) if is_start else 0
        if 0 < distance <= k and measure.find("note/pitch") is None:
            for child in [child for child in measure if child.tag in IN_TIME]:
                measure.remove(child)
            copied = [c for c in measures[k - distance] if c.tag in IN_TIME]
            measure.extend(deepcopy(child) for child in copied)
