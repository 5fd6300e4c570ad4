"""Hold notes, bar numbers and playing order of corpus pieces to verovio's reading.

Run by hand: ``uv run python -m tests.benchmarks.corpus_verovio 500 1``: pieces, seed.
Verovio reads MusicXML by itself and expands repeats, so it shares nothing with our
reader or with music21.  The pieces are those that music21 ships; of each the first
part with notes is compared if it has one voice and no chords.  Printed: how many have
the same sounding pitches, places and bar numbers, in playing order and without grace
notes, and where each of the others differs first.
"""

from __future__ import annotations

import random
import re
import sys
from collections import Counter
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


def verovio_rows(content: bytes, staff: int) -> list[Row]:
    """Give the rows of one staff in verovio's reading."""
    kit = verovio.toolkit()
    kit.setOptions({"breaks": "none"})
    if not kit.loadData(content.decode("utf-8")):
        return []
    times = kit.renderToTimemap({"includeMeasures": True})
    root = ET.fromstring(kit.getMEI())
    bars: dict[str, str] = {}
    staves: dict[str, str] = {}
    for measure in root.iter(f"{MEI}measure"):
        for inside in measure.iterfind(f"{MEI}staff"):
            for note in inside.iter(f"{MEI}note"):
                if note.get("grace") is None:
                    bars[note.get(ID, "")] = measure.get("n", "")
                    staves[note.get(ID, "")] = inside.get("n", "")
    tied = {tie.get("endid", "").lstrip("#") for tie in root.iter(f"{MEI}tie")}
    found: list[Row] = []
    for moment in times:
        for name in moment.get("on", []):
            plain = name.partition("-rend")[0]
            if staves.get(plain) == str(staff) and plain not in tied:
                values: dict[str, Any] = kit.getMIDIValuesForElement(plain)
                # Verovio calls the second half of a divided bar 4a or 4x.
                found.append((values["pitch"], re.sub(r"\D", "", bars[plain])))
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
        content = find_score(path.read_bytes(), path.name, read_score_limits()).content
        try:
            theirs = verovio_rows(content, number)
        except (UnicodeDecodeError, KeyError, ET.ParseError) as error:
            ends[f"verovio fails: {type(error).__name__}"] += 1
            continue
        why = difference(rows_of(part), theirs)
        ends["different" if why else "same"] += 1
        if why:
            print(f"{path.name}, part {number}: {why}")
    print(dict(ends))


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
