"""Signs of MusicXML that music21 leaves out: some are written otherwise, others named.

What leads through the page only for the ear (``sound``) or at a bar line becomes words
above the staff, and a bar that repeats another gets its notes.  What is not played as
it is written is named with its bars.  The signs are those of MusicXML 4.0 (W3C Music
Notation Community Group, 2021).
"""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy
from itertools import pairwise
from xml.etree.ElementTree import Element, SubElement

from coach.edges.scores.in_child.sign_sentences import (
    ARPEGGIO,
    BEND,
    CHORD_SYMBOLS,
    CUES,
    GLISSANDO,
    HARMONIC,
    HIDDEN,
    NOTEHEADS,
    OCTAVE_LINE,
    ORNAMENT,
    OVERLAID,
    PEDAL,
    PERCUSSION,
    QUARTER_TONE,
    RESTING,
    TREMOLO,
    TRILL,
)
from coach.score.note import LETTERS, SEMITONES_IN_OCTAVE

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
    "harmonic": HARMONIC,
    "soft-accent": "A soft accent is left out",
    "arpeggiate": ARPEGGIO,
    "non-arpeggiate": ARPEGGIO,
    "cue": CUES,
    "unpitched": PERCUSSION,
}
OF_A_BAR = {
    "harmony": CHORD_SYMBOLS,
    "figured-bass": CHORD_SYMBOLS,
    "pedal": PEDAL,
    "octave-shift": OCTAVE_LINE,
    "slash": "Bars with slashes instead of notes are taken as they are written out",
    "beat-repeat": "Signs that repeat a beat are taken as they are written out",
}
PLAIN_HEADS = ("", "normal", "none")


def write_out(part: Element) -> None:
    """Write out in words and notes what music21 would leave out."""
    for measure in part.iterfind("measure"):
        _say_what_sounds(measure)
        _say_bar_lines(measure)
        for moved in measure.iterfind("attributes/transpose"):
            _say_steps(moved)
    _repeat_measures(part.findall("measure"))


def find_left_out(part: Element, staff: int) -> list[tuple[int, str]]:
    """Find what is not played as it is written, with the bar of each.

    `staff` is the staff that is read; 0 where the part has one only.
    """
    return [
        (k, what)
        for k, measure in enumerate(part.iterfind("measure"))
        for what in dict.fromkeys(_in_measure(measure, staff))
    ]


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
    if _is_overlaid(measure, staff):
        yield OVERLAID


def _is_overlaid(measure: Element, staff: int) -> bool:
    """Tell whether notes of one voice sound at once and are no chord."""
    at = 0.0
    sounding: dict[str, list[tuple[float, float]]] = {}
    for child in measure:
        if child.tag not in IN_TIME or child.find("chord") is not None:
            continue
        lasts = _length(child.findtext("duration") or "0")
        if child.tag == "backup":
            at -= lasts
            continue
        is_here = not staff or child.findtext("staff") in (None, str(staff))
        if child.find("pitch") is not None and lasts > 0.0 and is_here:
            voice = child.findtext("voice") or ""
            sounding.setdefault(voice, []).append((at, at + lasts))
        at += lasts
    return any(
        before[1] > after[0]
        for notes in sounding.values()
        for before, after in pairwise([(0.0, 0.0), *sorted(notes)])
    )


def _length(duration: str) -> float:
    """Read a duration; nonsense is music21's to refuse."""
    try:
        return float(duration)
    except ValueError:
        return 0.0


def _in_note(note: Element) -> Iterator[str]:
    """Find what is not played as it is written at one note."""
    yield from (OF_A_NOTE[e.tag] for e in note.iter() if e.tag in OF_A_NOTE)
    if note.find("rest") is not None and note.find("notations/fermata") is not None:
        yield RESTING
    if (note.findtext("notehead") or "").strip() not in PLAIN_HEADS:
        yield NOTEHEADS
    if not _is_whole(note.findtext("pitch/alter") or "0"):
        yield QUARTER_TONE
    if note.get("print-object") == "no" and note.find("pitch") is not None:
        yield HIDDEN


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


def _say_steps(transpose: Element) -> None:
    """Put the steps beside semitones that stand alone, as they may."""
    chromatic = (transpose.findtext("chromatic") or "").strip()
    if transpose.find("diatonic") is None and _is_whole(chromatic or "0"):
        steps = Element("diatonic")
        steps.text = str(
            round(float(chromatic or 0) * len(LETTERS) / SEMITONES_IN_OCTAVE)
        )
        transpose.insert(0, steps)


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
