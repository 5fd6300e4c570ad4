"""Lengths under the staff: stems, beams over the notes of a beat, tuplets."""

from __future__ import annotations

from fractions import Fraction

from coach.score.phrase import Part
from coach.screens.staff.staff_lines import Placed, StaffLine
from coach.screens.staff.staff_slots import (
    EIGHTH,
    HALF,
    QUARTER,
    SIXTEENTH,
    WHOLE,
    Slot,
)
from coach.screens.widgets.sheet import Sheet


def draw_lengths(sheet: Sheet, x: int, y: int, line: StaffLine, part: Part) -> None:
    """Draw stems, and beams over the notes of a beat."""
    notes = [placed for placed in line.places if placed.slot.kind in ("note", "tie")]
    k = 0
    while k < len(notes):
        beam = [notes[k]]
        while k + len(beam) < len(notes) and share_beam(
            beam[-1].slot, notes[k + len(beam)].slot
        ):
            beam.append(notes[k + len(beam)])
        if len(beam) > 1:
            _draw_beam(sheet, x, y, beam, part)
        else:
            _draw_stem(sheet, x + beam[0].head, y, beam[0].slot)
        k += len(beam)


def _draw_stem(sheet: Sheet, x: int, y: int, slot: Slot) -> None:
    """Draw the length of a note that stands alone."""
    signs = sheet.signs
    shown = slot.shown
    if shown >= WHOLE:
        text = signs.whole_note
    elif shown >= HALF:
        text = signs.half_note
    elif shown >= QUARTER:
        text = signs.stem
    elif shown >= EIGHTH:
        text = signs.beam[0] + signs.beam[1]
    else:
        text = signs.double_beam[0] + signs.double_beam[1]
    if _is_dotted(shown):
        text += signs.dot
    sheet.put(x, y, text, "staff--length")


def _draw_beam(sheet: Sheet, x: int, y: int, beam: list[Placed], part: Part) -> None:
    """Draw one beam over several notes."""
    signs = sheet.signs
    for k, placed in enumerate(beam):
        head = x + placed.head
        is_short = placed.slot.shown < EIGHTH
        shape = signs.double_beam if is_short else signs.beam
        if k == 0:
            sheet.put(head, y, shape[0], "staff--length")
            continue
        before = beam[k - 1]
        both = is_short and before.slot.shown < EIGHTH
        between = (signs.double_beam if both else signs.beam)[1]
        start = x + before.head + 1
        sheet.fill(start, y, head - start, 1, between, "staff--length")
        is_end = k == len(beam) - 1
        sheet.put(head, y, shape[3] if is_end else shape[2], "staff--length")
    first = beam[0].slot.note
    tuplet = part.notes[first].tuplet if first is not None else None
    if tuplet is not None:
        middle = x + (beam[0].head + beam[-1].head) // 2
        sheet.put(middle, y, str(tuplet[0]), "staff--length")


def share_beam(here: Slot, following: Slot) -> bool:
    """Tell whether two neighbours stand under one beam."""
    return (
        here.kind in ("note", "tie")
        and following.kind in ("note", "tie")
        and here.shown < QUARTER
        and following.shown < QUARTER
        and (here.bar, here.group) == (following.bar, following.group)
        and here.end == following.at
    )


def _is_dotted(shown: Fraction) -> bool:
    """Tell whether a length is one and a half times a plain one."""
    plain = (SIXTEENTH, EIGHTH, QUARTER, HALF, WHOLE)
    return any(shown == length * Fraction(3, 2) for length in plain)
