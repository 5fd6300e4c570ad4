"""One line of the staff as a document for an engraver.

The document is MEI 5.0, an open standard (Music Encoding Initiative, "MEI Guidelines",
version 5.0, 2023).  It holds what the page says; on a screen what is planned – breaths,
positions and how notes are begun – stands in rows of cells around the picture.

Each place of the line has an id by which its head is found again: ``s3`` for the
fourth place, ``m3`` for the bar that the bar line in that place ends.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from coach.score.note import Note
from coach.score.phrase import Bar, Part
from coach.screens.staff.engraved.mei_spans import write_spans
from coach.screens.staff.staff_lengths import share_beam
from coach.screens.staff.staff_lines import StaffLine
from coach.screens.staff.staff_slots import Slot, leans
from coach.screens.staff.staff_values import is_on_grid, split_length

HEAD = (
    '<?xml version="1.0" encoding="UTF-8"?>'
    '<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.0"><meiHead>'
    "<fileDesc><titleStmt><title/></titleStmt><pubStmt/></fileDesc></meiHead>"
    "<music><body><mdiv><score>"
)
TAIL = "</section></score></mdiv></body></music></mei>"

CLEFS = {"bass": ("F", 4), "tenor": ("C", 4), "alto": ("C", 3), "treble": ("G", 2)}
"""Shape of each clef and the line it stands on, counted from the lowest as 1."""

ACCIDENTALS = {-2: "ff", -1: "f", 0: "n", 1: "s", 2: "x"}
ARTICULATIONS = {
    "staccato": "stacc",
    "tenuto": "ten",
    "accent": "acc",
    "strong-accent": "marc",
    "staccatissimo": "spicc",
}
"""Signs of articulation that are drawn, by their MusicXML names."""


@dataclass(slots=True)
class _Measure:
    """What stands between two bar lines."""

    name: str
    """Id of the measure."""

    placed: list[tuple[str, Slot]] = field(default_factory=list)
    """Places with their ids, in order."""

    clef: str = ""
    """Clef that follows at its end; empty for none."""

    is_closed: bool = False
    """A bar line ends it."""


def write_mei(
    line: StaffLine,
    part: Part,
    *,
    has_prefix: bool = True,
    marks: Mapping[str, str] | None = None,
) -> str:
    """Write a line as an MEI document.

    Parameters
    ----------
    line : StaffLine
        Places in order; it may begin and end in the middle of a bar.
    has_prefix : bool
        Clef and key signature are drawn; they hold in any case.
    marks : mapping, optional
        What a player pencils in, by the id of the place it stands at: with it bars are
        numbered, as on paper.

    Returns
    -------
    str
        The document; the same line always gives the same one.
    """
    measures = _measures(line)
    spans = write_spans(line, part)
    for name, written in (marks or {}).items():
        spans[name] = spans.get(name, "") + written
    first = _bar_at(part, line)
    body = [_opening(part, first, line, has_prefix=has_prefix), "<section>"]
    bar = first
    for k, measure in enumerate(measures):
        if k:
            bar += 1
            body.append(_change(part.bars[bar - 1], part.bars[bar]))
        is_end = k == len(measures) - 1 and line.end == part.end
        number = None if marks is None else part.bars[bar].number
        body.append(_measure(measure, part, spans, is_end=is_end, number=number))
    return HEAD + "".join(body) + TAIL


def _bar_at(part: Part, line: StaffLine) -> int:
    """Find the index of the bar that a line starts in."""
    at = next(p.slot.at for p in line.places if p.slot.kind != "bar")
    return max(0, bisect_right(part.bars, at, key=lambda bar: bar.onset) - 1)


def _measures(line: StaffLine) -> list[_Measure]:
    """Cut a line at its bar lines; a grace note goes with the note it leads to."""
    measures = [_Measure(f"m{len(line.places)}")]
    for k, placed in enumerate(line.places):
        slot = placed.slot
        if slot.kind != "bar":
            measures[-1].placed.append((f"s{k}", slot))
            continue
        measures[-1].name = f"m{k}"
        measures[-1].is_closed = True
        measures[-1].clef = slot.clef
        if k < len(line.places) - 1:
            measures.append(_Measure(f"m{len(line.places)}"))
    return measures


def _opening(part: Part, first: int, line: StaffLine, *, has_prefix: bool) -> str:
    """Say what is in force at the line's start; the metre is drawn where it is new."""
    bar = part.bars[first]
    before = part.bars[first - 1] if first else None
    starts_bar = line.start <= bar.onset
    is_new = starts_bar and (before is None or before.metre != bar.metre)
    shape, stands = CLEFS.get(line.clef, CLEFS["bass"])
    seen = "" if has_prefix else ' visible="false"'
    is_drawn = is_new and has_prefix and not bar.metre.is_free
    metre = "" if is_drawn else ' visible="false"'
    return (
        '<scoreDef><staffGrp><staffDef n="1" lines="5">'
        f'<clef shape="{shape}" line="{stands}"{seen}/>'
        f'<keySig sig="{_signature(line.fifths)}"{seen}/>'
        f'<meterSig count="{bar.metre.count}" unit="{bar.metre.unit}"{metre}/>'
        "</staffDef></staffGrp></scoreDef>"
    )


def _signature(fifths: int) -> str:
    """Write a key signature as MEI does: ``2f``."""
    return f"{abs(fifths)}{'s' if fifths > 0 else 'f'}" if fifths else "0"


def _change(before: Bar, bar: Bar) -> str:
    """Draw a new key or metre."""
    key = f' keysig="{_signature(bar.fifths)}"' if before.fifths != bar.fifths else ""
    metre = ""
    if before.metre != bar.metre and not bar.metre.is_free:
        count, unit = bar.metre.count, bar.metre.unit
        metre = f' meter.count="{count}" meter.unit="{unit}"'
    return f"<scoreDef{key}{metre}/>" if key or metre else ""


def _measure(
    measure: _Measure,
    part: Part,
    spans: Mapping[str, str],
    *,
    is_end: bool,
    number: int | None,
) -> str:
    """Write one bar, or the piece of one that stands in the line."""
    right = "end" if is_end else "single" if measure.is_closed else "invis"
    inside = "".join(_layer(measure.placed, part))
    if measure.clef:
        shape, stands = CLEFS.get(measure.clef, CLEFS["bass"])
        inside += f'<clef shape="{shape}" line="{stands}"/>'
    numbered = "" if number is None else f' n="{number}"'
    curves = "".join(spans.get(name, "") for name, _ in measure.placed)
    return (
        f'<measure xml:id="{measure.name}"{numbered} right="{right}">'
        f'<staff n="1"><layer n="1">{inside}</layer></staff>{curves}</measure>'
    )


def _layer(placed: Sequence[tuple[str, Slot]], part: Part) -> Iterator[str]:
    """Write what sounds in a bar, with its tuplets and beams."""
    for ratio, run in _tuplet_runs(placed, part):
        inside = "".join(_beams(run, part, ratio))
        if ratio is None:
            yield inside
            continue
        is_beamed = inside.startswith("<beam") and inside.count("<beam") == 1
        bracket = "false" if is_beamed and inside.endswith("</beam>") else "true"
        yield (
            f'<tuplet num="{ratio[0]}" numbase="{ratio[1]}" num.format="count" '
            f'bracket.visible="{bracket}">{inside}</tuplet>'
        )


Ratio = tuple[int, int]
Places = list[tuple[str, Slot]]


def _tuplet_runs(
    placed: Sequence[tuple[str, Slot]], part: Part
) -> Iterator[tuple[Ratio | None, Places]]:
    """Cut a bar into tuplets and what lies between them.

    A tuplet goes on until its notes fill a length that plain note values can write.
    """
    run: Places = []
    ratio: Ratio | None = None
    filled = Fraction(0)
    for item in placed:
        slot = item[1]
        own = _ratio(slot, part, ratio)
        is_full = ratio is not None and is_on_grid(filled) and filled > 0
        if run and (own != ratio or is_full):
            yield ratio, run
            run, filled = [], Fraction(0)
        ratio = own
        run.append(item)
        filled += slot.end - slot.at
    if run:
        yield ratio, run


def _ratio(slot: Slot, part: Part, before: Ratio | None) -> Ratio | None:
    """Tell which tuplet a place belongs to; a rest off the grid to the one before."""
    if slot.note is not None:
        note = part.notes[slot.note]
        return before if note.is_grace else note.tuplet
    return None if is_on_grid(slot.shown) else before


def _beams(placed: Places, part: Part, ratio: Ratio | None) -> Iterator[str]:
    """Write notes and rests in order, those under one beam together."""
    k = 0
    while k < len(placed):
        beam = [placed[k]]
        while k + len(beam) < len(placed) and share_beam(
            beam[-1][1], placed[k + len(beam)][1]
        ):
            beam.append(placed[k + len(beam)])
        written = "".join(_place(name, slot, part, ratio) for name, slot in beam)
        yield f"<beam>{written}</beam>" if len(beam) > 1 else written
        k += len(beam)


def _place(name: str, slot: Slot, part: Part, ratio: Ratio | None) -> str:
    """Write a note, a rest, or the several values that one needs."""
    if slot.kind == "rest" or slot.note is None:
        length = slot.shown * ratio[0] / ratio[1] if ratio else slot.shown
        return _rest(name, slot, length, part)
    note = part.notes[slot.note]
    if note.is_grace:
        kind = "acc" if leans(part, slot.note) else "unacc"
        slash = "" if kind == "acc" else ' stem.mod="1slash"'
        return _note(name, note, slot, ("8", 0), f' grace="{kind}"{slash}')
    values = split_length(slot.shown)
    names = [name, *(f"{name}t{k}" for k in range(1, len(values)))]
    return "".join(
        _note(part_name, note, slot if k == 0 else None, value)
        for k, (part_name, value) in enumerate(zip(names, values, strict=True))
    )


def _rest(name: str, slot: Slot, length: Fraction, part: Part) -> str:
    """Write a rest; one that fills its bar hangs in the middle of it."""
    bar = next(
        (bar for bar in part.bars if bar.onset == slot.at and bar.end == slot.end), None
    )
    if bar is not None:
        return f'<mRest xml:id="{name}"/>'
    values = split_length(length)
    if (slot.at - int(slot.at)) and len(values) > 1:
        values = values[::-1]
    return "".join(
        f'<rest xml:id="{name}{f"t{k}" if k else ""}"{_length(value)}/>'
        for k, value in enumerate(values)
    )


def _note(
    name: str, note: Note, slot: Slot | None, value: tuple[str, int], more: str = ""
) -> str:
    """Write one head: its pitch, its length, and what is written at its start."""
    signs = ""
    if slot is not None and slot.kind == "note":
        if slot.accidental is not None:
            signs += f'<accid accid="{ACCIDENTALS.get(slot.accidental, "n")}"/>'
        drawn = [a for a in sorted(note.articulations) if a in ARTICULATIONS]
        signs += "".join(f'<artic artic="{ARTICULATIONS[a]}"/>' for a in drawn)
    pitch = f'pname="{note.written.step.lower()}" oct="{note.written.octave}"'
    return f'<note xml:id="{name}" {pitch}{_length(value)}{more}>{signs}</note>'


def _length(value: tuple[str, int]) -> str:
    """Write a note value and its dots."""
    name, dots = value
    return f' dur="{name}"' + (f' dots="{dots}"' if dots else "")
