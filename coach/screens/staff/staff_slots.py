"""Turn a part into slots: each note, rest and bar line with the cells it needs.

A slot is what stands in one place of the staff: a note head with what is written
over and under it, a rest, or a bar line.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from coach.planning.instrument.own_clef import BOTTOM_LINES
from coach.planning.plan import Plan
from coach.score.note import Note, Pitch
from coach.score.phrase import Bar, Part
from coach.score.tempo import Beats, beats

SHARP_ORDER = "FCGDAEB"
"""Letters in the order in which key signatures sharpen them."""

SIXTEENTH = Fraction(1, 4)
EIGHTH = Fraction(1, 2)
QUARTER = Fraction(1)
HALF = Fraction(2)
WHOLE = Fraction(4)

FINEST = 5040
"""Parts of a quarter note on which notes begin, tuplets and all, have no more."""

NARROWEST = 3
"""Cells of the shortest note: its accidental, its head, a blank."""

CELLS_A_DOUBLING = 1.5
"""Cells that a note of twice the length gets more."""


@dataclass(frozen=True, slots=True)
class Slot:
    """One place of the staff."""

    kind: Literal["note", "tie", "rest", "bar"]
    """A note, the held rest of one behind a bar line, a rest, or a bar line."""

    at: Beats
    """Where it starts."""

    end: Beats
    """Where the next one starts."""

    width: int
    """Cells it needs."""

    head: int = 0
    """Cell of the note head, from the slot's first."""

    note: int | None = None
    """Index of the note; None for what is no note."""

    step: int = 0
    """Steps above the lowest line."""

    accidental: int | None = None
    """Sign before the head, in semitones; None for no sign."""

    shown: Fraction = QUARTER
    """Written length, tuplets undone; a dotted quarter is 3/2."""

    group: int = 0
    """Notes of one number stand under one beam."""

    bar: int = 0
    """Number of the bar: of a bar line, the bar that begins there."""

    clef: str = ""
    """New clef at this bar line; empty for none."""


def lowest_line(clef: str) -> int:
    """Give the diatonic step of a clef's lowest line."""
    return BOTTOM_LINES.get(clef, BOTTOM_LINES["bass"]).staff_step


def widen_slots(
    slots: Sequence[Slot], part: Part, plan: Plan | None, *, has_names: bool
) -> tuple[Slot, ...]:
    """Make slots wide enough for what is written under them: names, positions."""
    left_out = plan.breaths.left_out if plan is not None else ()
    return tuple(
        slot
        if slot.kind != "note" or (k := slot.note) is None
        else _widened(slot, part, plan, k, has_names=has_names, is_out=k in left_out)
        for slot in slots
    )


def cut_slots(part: Part) -> tuple[Slot, ...]:
    """Cut a part into slots, each as wide as its head needs."""
    slots: list[Slot] = []
    k = 0
    carried: int | None = None
    for index, bar in enumerate(part.bars):
        if index:
            new_clef = bar.clef if bar.clef != part.bars[index - 1].clef else ""
            slots.append(_bar_line(bar, new_clef))
        first = k
        while k < len(part.notes) and part.notes[k].onset < bar.end:
            k += 1
        inside = range(first, k)
        slots.extend(_bar_slots(part, bar, inside, carried))
        last = k - 1 if k > first else carried
        carried = last if last is not None and part.notes[last].end > bar.end else None
    return tuple(slots)


def _bar_line(bar: Bar, clef: str) -> Slot:
    """Make the slot of the line before a bar."""
    width = 2 + (NARROWEST if clef else 0)
    return Slot("bar", bar.onset, bar.onset, width, bar=bar.number, clef=clef)


def _bar_slots(part: Part, bar: Bar, inside: range, carried: int | None) -> list[Slot]:
    """Make the slots of one bar: what is held into it, its notes and rests."""
    slots: list[Slot] = []
    at = bar.onset
    signs = _key_signs(bar.fifths)
    if carried is not None:
        note = part.notes[carried]
        until = min(note.end, bar.end)
        held = _note_slot(part, carried, bar, None, Beats(until - at))
        shown = _shown(note, Fraction(until - at))
        slots.append(replace(held, kind="tie", at=at, end=until, shown=shown))
        at = until
    for k in inside:
        note = part.notes[k]
        if note.onset > at:
            slots.append(_rest_slot(at, note.onset, bar))
        until = min(note.end, bar.end)
        if k + 1 < len(part.notes):
            until = min(until, max(note.onset, part.notes[k + 1].onset))
        length = Beats(until - note.onset)
        sign = _accidental(note.written, signs)
        slots.append(_note_slot(part, k, bar, sign, length))
        at = until
    if at < bar.end:
        slots.append(_rest_slot(at, bar.end, bar))
    return slots


def _key_signs(fifths: int) -> dict[tuple[str, int | None], int]:
    """Give what the key signature does to each letter, in any octave."""
    if fifths >= 0:
        return {(step, None): 1 for step in SHARP_ORDER[:fifths]}
    return {(step, None): -1 for step in SHARP_ORDER[fifths:]}


def _accidental(pitch: Pitch, signs: dict[tuple[str, int | None], int]) -> int | None:
    """Tell the sign a note needs in its bar, and remember it for the rest of it."""
    here = (pitch.step, pitch.octave)
    in_force = signs.get(here, signs.get((pitch.step, None), 0))
    if in_force == pitch.alter:
        return None
    signs[here] = pitch.alter
    return pitch.alter


def _note_slot(
    part: Part, index: int, bar: Bar, accidental: int | None, length: Beats
) -> Slot:
    """Make the slot of a note as the page shows it."""
    note = part.notes[index]
    onset, end = _written_span(part, index, bar, Beats(note.onset + length))
    shown = _shown(note, Fraction(end - onset))
    head = max(1, abs(accidental or 0))
    return Slot(
        "note",
        note.onset,
        Beats(note.onset + length),
        max(_cells(length), head + 2),
        head,
        index,
        note.written.staff_step - lowest_line(bar.clef),
        accidental,
        shown,
        _beam_group(note.onset, bar),
        bar.number,
    )


def _shown(note: Note, length: Fraction) -> Fraction:
    """Undo a tuplet: give the length by which a note is written."""
    return length * note.tuplet[0] / note.tuplet[1] if note.tuplet else length


def _written_span(part: Part, index: int, bar: Bar, end: Beats) -> tuple[Beats, Beats]:
    """Tell where a note begins and ends on the page: grace notes take no time there."""
    notes = part.notes
    note = notes[index]
    onset = note.onset
    if not note.is_grace and index and notes[index - 1].is_grace:
        onset = min(onset, _written_onset(note, bar))
    if note.is_grace or index + 1 == len(notes) or not notes[index + 1].is_grace:
        return onset, end
    if notes[index + 1].onset == note.end and not leans(part, index + 1):
        last = index + 1
        while last + 1 < len(notes) and notes[last + 1].is_grace:
            last += 1
        end = min(Beats(notes[last].end), bar.end)
    return onset, end


def _written_onset(note: Note, bar: Bar) -> Beats:
    """Tell where a note stands on the page, whatever grace notes take from it."""
    from_start = (note.beat - bar.first_beat) * bar.metre.unit_beats
    return Beats(bar.onset + bar.played_at(from_start))


def leans(part: Part, grace: int) -> bool:
    """Tell whether a grace note takes its time from the note that it leads to."""
    main = next((n for n in part.notes[grace:] if not n.is_grace), None)
    if main is None:
        return False
    bar = next(bar for bar in part.bars if bar.onset <= main.onset < bar.end)
    return _written_onset(main, bar) < main.onset


def _rest_slot(at: Beats, end: Beats, bar: Bar) -> Slot:
    length = Beats(end - at)
    return Slot(
        "rest", at, end, _cells(length), 1, shown=Fraction(length), bar=bar.number
    )


def _cells(length: Beats) -> int:
    """Tell how many cells a length gets: longer notes more, but not in proportion."""
    if length <= SIXTEENTH:
        return NARROWEST
    doublings = math.log2(float(length / SIXTEENTH))
    return NARROWEST + round(CELLS_A_DOUBLING * doublings)


def _beam_group(at: Beats, bar: Bar) -> int:
    """Give the number of the beam that a place of a bar stands under."""
    written = bar.written_at(float(at - bar.onset))
    place = Fraction(written).limit_denominator(FINEST)
    metre = bar.metre
    if bar.written_length < metre.length and bar.number == 0:
        place += metre.length - bar.written_length
    if metre.groups:
        ends = Fraction(0)
        for k, units in enumerate(metre.groups):
            ends += units * metre.unit_beats
            if place < ends:
                return k
        return len(metre.groups)
    return int(place // beam_length(bar))


def beam_length(bar: Bar) -> Beats:
    """Give the length that one beam covers: a felt beat."""
    metre = bar.metre
    is_compound = metre.unit >= 8 and metre.count % 3 == 0 and metre.count > 3  # noqa: PLR2004 - what makes 6/8, 9/8 and 12/8 compound
    if is_compound:
        return Beats(metre.unit_beats * 3)
    if metre.unit >= 8 and metre.count == 3:  # noqa: PLR2004 - 3/8 is felt in one
        return metre.length
    return beats(1)


def _widened(
    slot: Slot, part: Part, plan: Plan | None, k: int, *, has_names: bool, is_out: bool
) -> Slot:
    """Make room for the note's name and its position."""
    needed = slot.head + NARROWEST - 1
    if has_names:
        needed = max(needed, slot.head + len(name_of(part.notes[k].written)) + 1)
    if plan is not None:
        needed += is_out  # it stands in brackets
        placement = plan.slide.placements[k]
        label = len(placement.label)
        if placement.is_alternate:
            needed = max(needed, slot.head + label + 1)
        elif label > slot.head + 1:
            needed = max(needed, label + 1)
    return slot if needed <= slot.width else replace(slot, width=needed)


def name_of(pitch: Pitch) -> str:
    """Name a written pitch without its octave, as ``B♭``."""
    sign = "♯" * pitch.alter if pitch.alter > 0 else "♭" * -pitch.alter
    return pitch.step + sign
