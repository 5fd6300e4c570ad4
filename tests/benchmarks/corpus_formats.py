"""Read pieces of all six formats and compare them with music21's own reading.

Run by hand: ``uv run python -m tests.benchmarks.corpus_formats 40 1 MIDI MEI``: pieces
of each format, seed, formats (all six if none is named).
The pieces are those that music21 ships with itself; where it has none of a format,
they are its own pieces written out by music21 (MusicXML to MIDI), or by the small
writer below (MEI).  Printed by format: pieces read, refused and failed, notes, and
seconds; then how many of them have the same pitches, places and lengths as
music21's own reading (`expandRepeats`, `stripTies`, `toSoundingPitch`); a piece
written out as MIDI is compared with the piece that it was written from.

Known differences are told apart: grace notes take time from their neighbours here,
and a repeat without an opening sign goes back to the end of the one before, where
music21 goes back to the beginning or gives up.
"""

from __future__ import annotations

import random
import re
import sys
import time
import warnings
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import music21
from music21 import converter, harmony, stream

from coach.edges.scores.score_files import read_part
from coach.errors import CoachError
from coach.score.phrase import Part

CORPUS = Path(music21.__file__).parent / "corpus"
ENDINGS = {
    "MusicXML": (".xml", ".musicxml"),
    "compressed MusicXML": (".mxl",),
    "Humdrum kern": (".krn",),
    "ABC": (".abc",),
}
LARGEST_BYTES = 200_000
UNWRITABLE = (
    music21.exceptions21.Music21Exception,
    StopIteration,
    IndexError,
    ValueError,
)
"""What music21, or the writer below, raises for pieces that it cannot write."""
Sound = tuple[Fraction, Fraction, int]
Write = Callable[[Path, Path], Path]


@dataclass
class Figures:
    """What became of the pieces of one format."""

    outcomes: Counter[str] = field(default_factory=Counter)
    notes: int = 0
    seconds: float = 0.0


def corpus_files(endings: Sequence[str]) -> list[Path]:
    """Give the corpus files of some endings that are single pieces."""
    return sorted(
        path
        for path in CORPUS.rglob("*")
        if path.suffix in endings and path.stat().st_size < LARGEST_BYTES
    )


def choose(pieces: int, seed: int) -> dict[str, dict[Path, Path]]:
    """Choose pieces of each format that the corpus has, each held to itself."""
    chance = random.Random(seed)
    chosen = {}
    for name, endings in ENDINGS.items():
        files = corpus_files(endings)
        sample = chance.sample(files, min(pieces, len(files)))
        chosen[name] = {path: path for path in sample}
    return chosen


def write_midi(source: Path, folder: Path) -> Path:
    """Write a corpus piece out as MIDI by music21."""
    score = parse(source)
    path = folder / f"{source.stem}.mid"
    score.write("midi", path)
    return path


def write_mei(source: Path, folder: Path) -> Path:
    """Write the first part of a corpus piece out as MEI, notes and rests only."""
    part = parse(source).parts[0]
    bars = []
    for measure in part.getElementsByClass(stream.Measure):
        layer = "".join(mei_elements(measure))
        bars.append(
            f'<measure n="{measure.number}"><staff n="1"><layer n="1">{layer}'
            "</layer></staff></measure>"
        )
    metre = part.recurse().getElementsByClass(music21.meter.TimeSignature).first()
    count, unit = (4, 4) if metre is None else (metre.numerator, metre.denominator)
    path = folder / f"{source.stem}.mei"
    path.write_text(
        '<?xml version="1.0"?><mei xmlns="http://www.music-encoding.org/ns/mei">'
        "<meiHead><fileDesc><titleStmt><title>"
        f"{source.stem}</title></titleStmt><pubStmt/></fileDesc></meiHead><music><body>"
        f'<mdiv><score><scoreDef meter.count="{count}" meter.unit="{unit}"><staffGrp>'
        '<staffDef n="1" lines="5" clef.shape="G" clef.line="2"/></staffGrp></scoreDef>'
        f"<section>{''.join(bars)}</section></score></mdiv></body></music></mei>"
    )
    return path


TYPES = {"whole": "1", "half": "2", "quarter": "4", "eighth": "8", "breve": "breve"}
ACCIDENTALS = {"sharp": "s", "flat": "f", "natural": "n"}


def mei_elements(measure: stream.Measure) -> Iterator[str]:
    """Give the MEI of a bar; a length that has no sign of its own is left out."""
    voices = list(measure.voices) or [measure]
    for element in voices[0].notesAndRests:
        if isinstance(element, harmony.Harmony) or element.duration.isGrace:
            continue
        kind = element.duration.type
        sign = TYPES.get(kind) or kind.removesuffix("th").removesuffix("nd")
        if not sign.isdecimal() and sign != "breve":
            continue
        length = f'dur="{sign}" dots="{element.duration.dots}"'
        if element.isRest:
            yield f"<rest {length}/>"
            continue
        pitch = max(element.pitches, key=lambda p: p.ps)
        name = pitch.accidental.name if pitch.accidental is not None else ""
        accid = f'accid.ges="{ACCIDENTALS[name]}"' if name in ACCIDENTALS else ""
        tie = {"start": "i", "stop": "t", "continue": "m"}.get(
            element.tie.type if element.tie is not None else "", ""
        )
        tied = f'tie="{tie}"' if tie else ""
        note = f'<note pname="{pitch.step.lower()}" oct="{pitch.octave}" {length}'
        yield f"{note} {accid} {tied}/>"


def parse(path: Path) -> Any:
    """Let music21 read a file itself, by its ending."""
    formats = {".krn": "humdrum", ".abc": "abc", ".mid": "midi", ".mei": "mei"}
    first = re.search(rb"^X:\s*(\d+)", path.read_bytes(), re.M)
    is_book = path.suffix == ".abc" and first is not None
    parsed = converter.parseFile(
        path,
        number=int(first.group(1)) if is_book and first is not None else None,
        format=formats.get(path.suffix, "musicxml"),
        forceSource=True,
        storePickle=False,
    )
    return parsed.scores[0] if isinstance(parsed, stream.Opus) else parsed


def sounds_of(part: Part) -> list[Sound]:
    """Give onset from the first bar, length and key of every note but grace notes."""
    return [
        (note.onset - part.start, note.length, note.sounding.midi)
        for note in part.notes
        if not note.is_grace
    ]


def music21_sounds(path: Path) -> tuple[list[Sound], str]:
    """Give the same by music21's own means, and what it could not do."""
    score = parse(path)
    part = next(part for part in score.parts if list(pitched(part.recurse().notes)))
    why = "a repeat has no opening sign" if has_unopened(part) else ""
    try:
        part = part.expandRepeats()
    except music21.exceptions21.Music21Exception:
        why = "music21 cannot expand the repeats"
    if any(m.voices for m in part.getElementsByClass(stream.Measure)):
        why = "several voices"
    if any(n.duration.isGrace for n in part.recurse().notes):
        why = why or "grace notes"
    if part.atSoundingPitch is False:
        part = part.toSoundingPitch()
    flat = part.stripTies().flatten()
    return [
        (
            Fraction(element.offset),
            Fraction(element.quarterLength),
            max(pitch.midi for pitch in element.pitches),
        )
        for element in pitched(flat.notes)
        if not element.duration.isGrace
    ], why


def has_unopened(part: Any) -> bool:
    """Tell whether a later repeat is closed and was not opened."""
    lines = [
        line.direction
        for measure in part.getElementsByClass(stream.Measure)
        for line in (measure.leftBarline, measure.rightBarline)
        if isinstance(line, music21.bar.Repeat)
    ]
    return any(pair == ("end", "end") for pair in pairwise(lines))


def pitched(notes: Any) -> Iterator[Any]:
    """Leave chord symbols and percussion out."""
    for element in notes:
        if not isinstance(element, harmony.Harmony) and element.pitches:
            yield element


def compare(path: Path, part: Part) -> str:
    """Say how a reading differs from music21's own."""
    theirs, why = music21_sounds(path)
    ours = sounds_of(part)
    if ours == theirs:
        return "the same"
    if why:
        return f"not compared: {why}"
    if [sound[2] for sound in ours] == [sound[2] for sound in theirs]:
        return "other places or lengths"
    return "other notes"


def run(name: str, paths: Mapping[Path, Path]) -> Figures:
    """Read the pieces of one format and compare each with what it is held to."""
    figures = Figures()
    for path, held_to in paths.items():
        began = time.perf_counter()
        try:
            part = read_part(path)
        except CoachError as error:
            figures.outcomes["refused"] += 1
            print(f"  {name}: {error}", flush=True)
            continue
        figures.seconds += time.perf_counter() - began
        figures.notes += len(part.notes)
        figures.outcomes["read"] += 1
        outcome = compare(held_to, part)
        figures.outcomes[outcome] += 1
        if outcome.startswith("other"):
            print(f"  {name}: {path.name}: {outcome}", flush=True)
    return figures


def main() -> None:
    """Print figures by format."""
    warnings.simplefilter("ignore")
    pieces = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    wanted = sys.argv[3:]
    with TemporaryDirectory() as folder:
        chosen = choose(pieces, seed)
        half = pieces // 2
        sources = [*chosen["MusicXML"]][:half] + [*chosen["compressed MusicXML"]][:half]
        chosen["MIDI"] = written(write_midi, sources, Path(folder))
        chosen["MEI"] = {m: m for m in written(write_mei, sources, Path(folder))}
        totals: Counter[str] = Counter()
        for name, paths in chosen.items():
            if wanted and name not in wanted:
                continue
            figures = run(name, paths)
            totals += figures.outcomes
            each = figures.seconds / max(1, figures.outcomes["read"])
            counted = f"{len(paths)} pieces, {figures.notes} notes, {each:.2f} s each"
            outcomes = dict(sorted(figures.outcomes.items()))
            print(f"{name}: {counted}: {outcomes}", flush=True)
    print(f"all: {dict(sorted(totals.items()))}")


def written(write: Write, sources: Sequence[Path], folder: Path) -> dict[Path, Path]:
    """Write pieces out, passing over those that music21 cannot write."""
    made: dict[Path, Path] = {}
    kinds: Counter[str] = Counter()
    for source in sources:
        try:
            made[write(source, folder)] = source
        except UNWRITABLE as no:
            kinds[type(no).__name__] += 1
    if kinds:
        print(f"  not written by music21: {dict(kinds)}")
    return made


if __name__ == "__main__":
    main()
