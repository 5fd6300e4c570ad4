"""Ties, slurs, fermatas and dynamics of one line of the staff, as MEI writes them."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator

from coach.score.phrase import Part
from coach.screens.staff.engraved.mei_dynamics import write_dynamics
from coach.screens.staff.staff_lines import StaffLine
from coach.screens.staff.staff_values import split_length


def write_spans(line: StaffLine, part: Part) -> dict[str, str]:
    """Write all that goes beside or over notes, with the place at which it begins."""
    spans: dict[str, str] = {}
    for name, written in (
        *_ties(line, part),
        *_slurs(line, part),
        *_fermatas(line, part),
        *write_dynamics(line, part),
    ):
        spans[name] = spans.get(name, "") + written
    return spans


def _ties(line: StaffLine, part: Part) -> Iterator[tuple[str, str]]:
    """Tie the values of one note, also over bar lines and over the line's ends."""
    heads = [
        (k, p.slot) for k, p in enumerate(line.places) if p.slot.kind in ("note", "tie")
    ]
    for index, (k, slot) in enumerate(heads):
        name = f"s{k}"
        if slot.kind == "tie" and index == 0:
            yield name, f'<tie tstamp="0" endid="#{name}"/>'
        is_grace = slot.note is not None and part.notes[slot.note].is_grace
        count = 1 if is_grace else len(split_length(slot.shown))
        for t in range(1, count):
            before = name if t == 1 else f"{name}t{t - 1}"
            yield name, f'<tie startid="#{before}" endid="#{name}t{t}"/>'
        last = name if count == 1 else f"{name}t{count - 1}"
        if slot.note is None or part.notes[slot.note].end <= slot.end:
            continue
        if index + 1 < len(heads) and heads[index + 1][1].kind == "tie":
            yield name, f'<tie startid="#{last}" endid="#s{heads[index + 1][0]}"/>'
        elif index + 1 == len(heads):
            yield name, f'<lv startid="#{last}"/>'


def _slurs(line: StaffLine, part: Part) -> Iterator[tuple[str, str]]:
    """Draw an arc over each stretch of slurred notes, also over the line's ends."""
    notes = [
        (f"s{k}", p.slot.note)
        for k, p in enumerate(line.places)
        if p.slot.kind == "note" and p.slot.note is not None
    ]
    begun = ""
    for name, index in notes:
        if not part.notes[index].is_slurred:
            begun = name
        if _goes_on(part, index):
            if name != notes[-1][0]:
                continue
            until = f'tstamp2="{_end_of(line, begun or notes[0][0], part)}"'
        else:
            until = f'endid="#{name}"'
        if begun != name or _goes_on(part, index):
            start = f'startid="#{begun}"' if begun else 'tstamp="0"'
            yield begun or notes[0][0], f"<slur {start} {until}/>"
        begun = name


def _end_of(line: StaffLine, name: str, part: Part) -> str:
    """Say where a line ends, in bars and beats as seen from one of its places."""
    first = int(name[1:])
    bars = [k for k, p in enumerate(line.places) if p.slot.kind == "bar"]
    inner = [k for k in bars if k < len(line.places) - 1]
    last = inner[-1] + 1 if inner else 0
    length = sum(p.slot.end - p.slot.at for p in line.places[last:])
    at = line.places[last].slot.at
    k = max(0, bisect_right(part.bars, at, key=lambda bar: bar.onset) - 1)
    beats = length / part.bars[k].metre.unit_beats + 1
    return f"{sum(1 for k in inner if k >= first)}m+{float(beats):g}"


def _goes_on(part: Part, index: int) -> bool:
    """Tell whether a slur leads on from a note."""
    return index + 1 < len(part.notes) and part.notes[index + 1].is_slurred


def _fermatas(line: StaffLine, part: Part) -> Iterator[tuple[str, str]]:
    for k, placed in enumerate(line.places):
        slot = placed.slot
        if (
            slot.kind == "note"
            and slot.note is not None
            and part.notes[slot.note].has_fermata
        ):
            yield f"s{k}", f'<fermata startid="#s{k}" place="above"/>'
