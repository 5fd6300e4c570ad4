"""Make MusicXML ready for music21: one part, and only what a player needs of it.

music21 reads partwise scores only, takes a grace note without a slash for one with
a slash, and reads everything it meets.  So a timewise score is turned around, other
parts are left out (of the first one, which carries tempo and rehearsal marks for
all, the signs stay), and what is only engraving is dropped.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement

from coach.edges.scores.in_child.formats.musicxml_lines import (
    keep_voice,
    lines_of,
    name_voices,
    silence,
)
from coach.edges.scores.in_child.formats.musicxml_named import find_left_out, write_out
from coach.edges.scores.in_child.sign_sentences import SHARED
from coach.edges.scores.part_list import PartEntry, entry

IN_MEASURE = {
    *("attributes", "note", "backup", "forward", "direction", "barline", "sound"),
}
IN_NOTE = {
    *("grace", "chord", "pitch", "unpitched", "rest", "duration", "tie", "voice"),
    *("type", "dot", "time-modification", "staff", "notations", "cue", "beam"),
}
IN_NOTATIONS = {
    *("tied", "slur", "tuplet", "articulations", "technical", "ornaments"),
    *("fermata", "dynamics", "glissando", "slide"),
}
FOR_ALL = {"words", "metronome", "rehearsal", "segno", "coda"}
SIGNS = {"attributes", "backup", "forward", "direction", "barline", "sound"}


def to_partwise(score: Element) -> Element:
    """Turn a timewise score around; give a partwise one back as it is."""
    if score.tag != "score-timewise":
        return score
    turned = Element("score-partwise", score.attrib)
    parts: dict[str, Element] = {}
    for child in score:
        if child.tag != "measure":
            turned.append(child)
            continue
        for part in child.iterfind("part"):
            name = part.get("id", "")
            if name not in parts:
                parts[name] = Element("part", {"id": name})
            SubElement(parts[name], "measure", child.attrib).extend(part)
    turned.extend(parts.values())
    return turned


def list_entries(score: Element) -> list[PartEntry]:
    """List the parts of a partwise score; each staff of a part is one of its own.

    Behind them stand the second and later voices of a staff: they are often those of
    another player, and the numbers before them stay what they are without voices.
    """
    return [
        entry(number, line.name, sum(map(line.sounds, line.notes)))
        for number, line in enumerate(lines_of(score), 1)
    ]


@dataclass(frozen=True, slots=True)
class OnePart:
    """A score of one part, ready for music21."""

    score: Element
    """The part, and the signs of the first one."""

    identifier: str
    """music21's name for the staff that is read."""

    left_out: list[tuple[int, str]]
    """Bar and what of it is not played as it is written."""


def keep_part(score: Element, number: int) -> OnePart:
    """Make a score of one part."""
    line = list(lines_of(score))[number - 1]
    kept, staff = line.part, line.staff
    name_voices(kept)
    shared = list(keep_voice(line)) if line.voice else []
    left_out = [*find_left_out(kept, staff), *((k, SHARED) for k in shared)]
    parts = score.findall("part")
    alone = Element("score-partwise", score.attrib)
    listed = SubElement(alone, "part-list")
    for k, part in enumerate(parts, 1):
        if part is not kept and part is not parts[0]:
            continue
        write_out(part)
        if part is kept:
            _strip(part)
        else:
            _keep_signs(part)
        part.set("id", f"P{k}")
        entry_of_part = SubElement(listed, "score-part", {"id": f"P{k}"})
        SubElement(entry_of_part, "part-name").text = line.name if part is kept else ""
        alone.append(part)
    identifier = kept.get("id", "")
    identifier = f"{identifier}-Staff{staff}" if staff else identifier
    return OnePart(alone, identifier, left_out)


def title_of(score: Element) -> str:
    """Give work and movement title, or the printed title."""
    work = (score.findtext("work/work-title") or "").strip()
    movement = (score.findtext("movement-title") or "").strip()
    if work and movement and work != movement:
        return f"{work}: {movement}"
    if work or movement:
        return work or movement
    for credit in score.iterfind("credit"):
        if credit.findtext("credit-type") == "title":
            return credit.findtext("credit-words") or ""
    return ""


def _keep_only(element: Element, tags: set[str]) -> None:
    """Drop the children that have none of these tags."""
    for child in [child for child in element if child.tag not in tags]:
        element.remove(child)


def _keep_signs(part: Element) -> None:
    """Make a part silent: its notes become the time that they take."""
    for measure in part.iterfind("measure"):
        for k, child in reversed(list(enumerate(measure))):
            if child.tag not in SIGNS:
                silence(measure, k)
        _strip_directions(measure, FOR_ALL)


def _strip(part: Element) -> None:
    """Leave out engraving; mend what music21 would misread."""
    for measure in part.iterfind("measure"):
        _keep_only(measure, IN_MEASURE)
        for note in measure.findall("note"):
            is_extra = note.find("chord") is not None or note.find("grace") is not None
            if is_extra and note.find("cue") is not None:
                measure.remove(note)
            else:
                _strip_note(note)
        _strip_directions(measure, FOR_ALL | {"dynamics", "wedge"})


def _strip_directions(measure: Element, tags: set[str]) -> None:
    """Leave only some kinds of directions."""
    for direction in measure.iterfind("direction"):
        for kind in direction.findall("direction-type"):
            _keep_only(kind, tags)
            if not len(kind):
                direction.remove(kind)
        for number in direction.iterfind("direction-type/metronome/per-minute"):
            number.text = _first_number(number.text or "")


def _strip_note(note: Element) -> None:
    """Leave out what is not for the ear; a cue is another player's, so a rest."""
    _keep_only(note, IN_NOTE)
    grace = note.find("grace")
    if grace is not None:
        grace.attrib.setdefault("slash", "no")
    for notations in note.iterfind("notations"):
        _keep_only(notations, IN_NOTATIONS)
    cue = note.find("cue")
    if cue is not None:
        note.remove(cue)
        for k, child in enumerate(list(note)):
            if child.tag in ("pitch", "unpitched"):
                note[k] = Element("rest")
        _keep_only(note, IN_NOTE - {"notations", "tie", "beam"})


def _first_number(text: str) -> str:
    """Give the first number of a mark such as ``96-104`` or ``c. 80``."""
    found = re.search(r"\d+(\.\d+)?", text)
    return found.group() if found else ""
