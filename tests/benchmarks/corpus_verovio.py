"""Hold notes, bar numbers and playing order of corpus pieces to verovio's reading.

Run by hand: ``uv run python -m tests.benchmarks.corpus_verovio 500 1``: pieces, seed.
Verovio reads MusicXML by itself and expands repeats, so it shares nothing with our
reader or with music21.  The pieces are those that music21 ships; of each the first
part with notes is compared if it has one voice and no chords.  Printed: how many have
the same sounding pitches, places and bar numbers, in playing order and without grace
notes, and where each of the others differs first.

What verovio reads otherwise than the paper means it is written out before it reads
(`made_plain`), its numbers are counted as a player counts (`numbers_of`).  A tie that
a file opens and never closes is played by us, with a remark, and not by verovio: such
pieces are compared once more with those ties closed, and counted apart.
"""

from __future__ import annotations

import random
import re
import sys
from collections import Counter
from itertools import pairwise
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import music21
import verovio

from coach.edges.scores.in_child.formats.score_formats import find_score
from coach.edges.scores.in_child.score_child import answer
from coach.edges.scores.score_columns import part_from_columns
from coach.edges.scores.score_limits import read_score_limits
from coach.edges.scores.score_request import Request
from coach.score.phrase import Part

CORPUS = Path(music21.__file__).parent / "corpus"
MEI = "{http://www.music-encoding.org/ns/mei}"
ID = "{http://www.w3.org/XML/1998/namespace}id"
EXPLAINED = {
    "bach/bwv8.6.mxl": "a tie into the first ending leads into the second one too",
    "haydn/opus74no1/movement3.mxl": "its first ending has no number and no start; "
    "verovio plays both endings one after another",
}
"""Pieces that are known to differ, and why; ours is as a player would play."""

DECLARED = re.compile(r"^\s*<\?xml[^>]*\?>")
Row = tuple[int, str]
"""Key number and bar."""


def ours(path: Path) -> tuple[Part, int] | str:
    """Read the first part with notes; give it and its number, or why not."""
    content, limits = path.read_bytes(), read_score_limits()
    listed = answer(Request(path.name, None, is_list=True), content, limits)
    if "error" in listed:
        return str(listed["error"][1])
    number = next((e["number"] for e in listed["entries"] if e["note_count"]), 0)
    found = answer(Request(path.name, str(number)), content, limits)
    if "error" in found:
        return str(found["error"][1])
    return part_from_columns(found["part"]), number


def rows_of(part: Part) -> list[Row]:
    """Give the rows of our part."""
    plain = [note for note in part.notes if not note.is_grace]
    return [(note.sounding.midi, str(note.bar)) for note in plain]


def verovio_rows(score: ET.Element, staff: int) -> list[Row]:
    """Give the rows of one staff in verovio's reading, at sounding pitch."""
    kit = verovio.toolkit()
    kit.setOptions({"breaks": "none", "transposeToSoundingPitch": True})
    if not kit.loadData(ET.tostring(score, encoding="unicode")):
        return []
    times = kit.renderToTimemap({"includeMeasures": True})
    root = ET.fromstring(kit.getMEI())
    numbers = numbers_of(root, times)
    notes = {
        note.get(ID, ""): numbers[measure.get(ID, "")]
        for measure in root.iter(f"{MEI}measure")
        for inside in measure.iterfind(f"{MEI}staff[@n='{staff}']")
        for note in inside.iter(f"{MEI}note")
        if note.get("grace") is None
    }
    ties = {
        tie.get("endid", "").lstrip("#"): tie.get("startid", "").lstrip("#")
        for tie in root.iter(f"{MEI}tie")
    }
    found: list[Row] = []
    before = ""
    for moment in times:
        for name in moment.get("on", []):
            plain = name.partition("-rend")[0]
            if plain not in notes:
                continue
            # A tie joins a note to the next one only.
            if ties.get(plain, "none") != before:
                values: dict[str, Any] = kit.getMIDIValuesForElement(plain)
                found.append((values["pitch"], notes[plain]))
            before = plain
    return found


def made_plain(text: str) -> ET.Element:
    """Write out what verovio reads otherwise than the paper means it.

    An accidental without a sign is none.  A closing sign without an opening one leads
    back behind the last closing sign, not to the beginning, and behind the endings
    there (Gould 2011, Behind Bars, Repeat signs).
    """
    root = ET.fromstring(DECLARED.sub("", text))
    for note in root.iter("note"):
        for sign in note.findall("accidental"):
            if not (sign.text or "").strip():
                note.remove(sign)
    for part in root.iter("part"):
        measures = part.findall("measure")
        start, is_open = 0, True
        for k, measure in enumerate(measures):
            ways = {sign.get("direction") for sign in measure.iter("repeat")}
            if "forward" in ways:
                start, is_open = k, True
            elif "backward" in ways and not is_open:
                line = ET.Element("barline", location="left")
                ET.SubElement(line, "repeat", direction="forward")
                measures[start].insert(0, line)
            if "backward" in ways:
                start, is_open = behind_endings(measures, k + 1), False
    return root


def close_ties(score: ET.Element) -> int:
    """Close the ties that lead to the same note and have no end; say how many."""
    closed = 0
    for part in score.iter("part"):
        notes = [n for n in part.iterfind("measure/note") if n.find("grace") is None]
        for note, following in pairwise(notes):
            is_open = note.find("tie[@type='start']") is not None
            pitches = [
                [n.findtext(f"pitch/{name}") for name in ("step", "alter", "octave")]
                for n in (note, following)
            ]
            if (
                is_open
                and following.find("tie[@type='stop']") is None
                and pitches[0] == pitches[1]
            ):
                signs = following.find("notations")
                if signs is None:
                    signs = ET.SubElement(following, "notations")
                signs.insert(0, ET.Element("tied", type="stop"))
                closed += 1
    return closed


def behind_endings(measures: list[ET.Element], k: int) -> int:
    """Pass over later endings that begin at a bar."""
    while k < len(measures) and _signs(measures[k], "start"):
        while k < len(measures) and not _signs(measures[k], "stop", "discontinue"):
            k += 1
        k += 1
    return min(k, len(measures) - 1)


def _signs(measure: ET.Element, *types: str) -> bool:
    """Tell whether an ending of one of some types is in a bar."""
    return any(ending.get("type") in types for ending in measure.iter("ending"))


def numbers_of(root: ET.Element, times: list[dict[str, Any]]) -> dict[str, str]:
    """Number verovio's bars as a player counts them.

    A first bar that is shorter than its metre is a pickup, bar 0, whatever the file
    calls it; a bar with a letter (``X1``, ``4a``) completes the one before.
    """
    measures = list(root.iter(f"{MEI}measure"))
    names = [measure.get("n", "") for measure in measures]
    starts = [moment["qstamp"] for moment in times if "measureOn" in moment]
    sign = next(root.iter(f"{MEI}meterSig"), None)
    is_timed = sign is not None and (sign.get("count") or "").isdigit()
    shift = 0
    if is_timed and sign is not None and len(starts) > 1:
        full = 4 * int(sign.get("count", "4")) / int(sign.get("unit", "4"))
        is_pickup = starts[1] - starts[0] < full
        if is_pickup and names[0] != "0" and names[1].isdigit():
            shift = int(names[1]) - 1
            names[0] = str(shift)
    found: dict[str, str] = {}
    before = "0"
    for measure, name in zip(measures, names, strict=True):
        before = str(int(name) - shift) if name.isdigit() else before
        found[measure.get(ID, "")] = before
    return found


def difference(mine: list[Row], theirs: list[Row]) -> str:
    """Say where two readings differ first; empty where they are the same."""
    for k, (a, b) in enumerate(zip(mine, theirs, strict=False)):
        if a != b:
            return f"note {k}: ours {a}, verovio {b}"
    if len(mine) != len(theirs):
        return f"ours has {len(mine)} notes, verovio {len(theirs)}"
    return ""


def main(count: int, seed: int) -> None:
    """Compare."""
    verovio.enableLog(verovio.LOG_OFF)
    paths = sorted(p for e in ("*.mxl", "*.xml", "*.musicxml") for p in CORPUS.rglob(e))
    random.Random(seed).shuffle(paths)
    ends: Counter[str] = Counter()
    for path in paths:
        if ends["same"] + ends["different"] >= count:
            break
        read = ours(path)
        if isinstance(read, str):
            ends["refused"] += 1
            continue
        part, number = read
        if any(text.startswith(("Several", "Chords")) for text in part.left_out):
            ends["several voices or chords"] += 1
            continue
        data = find_score(path.read_bytes(), path.name, read_score_limits())
        try:
            score = made_plain(data.text)
            why = difference(rows_of(part), verovio_rows(score, number))
            is_open = bool(why) and close_ties(score) > 0
            why = why and difference(rows_of(part), verovio_rows(score, number))
        except (KeyError, ET.ParseError) as error:
            ends[f"verovio fails: {type(error).__name__}"] += 1
            continue
        ends["different" if why else "same"] += 1
        ends["of these with open ties closed"] += is_open and not why
        if why:
            name = path.relative_to(CORPUS).as_posix()
            known = EXPLAINED.get(name, "not explained")
            print(f"{name}, part {number}: {why} ({known})")
    compared = ends["same"] + ends["different"]
    print(dict(ends), f"{100 * ends['same'] / compared:.1f} % the same")


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
