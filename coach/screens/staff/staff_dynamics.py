"""Dynamics, hairpins and articulations of the page, in letters around the staff."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from coach.score.note import Note
from coach.score.phrase import Part
from coach.screens.signs import Signs
from coach.screens.staff.staff_lines import StaffLine
from coach.screens.widgets.sheet import Sheet

A_HAIR = 1e-6
"""Steps of loudness that are no difference."""

STYLE = "staff--slur"


class LineHairpin(NamedTuple):
    """Notes of one line over which the loudness changes one way."""

    turn: int
    """1 where it grows, -1 where it falls."""

    first: int
    """Number of the first of them in the line."""

    follows: int
    """Number of the note that it leads to; that may lie beyond the line."""


def find_hairpins(notes: Sequence[Note]) -> Iterator[LineHairpin]:
    """Find the hairpins over the notes of a line."""
    for turn, run in groupby(range(len(notes)), lambda k: _turn_of(notes[k])):
        first, *more = run
        if turn:
            yield LineHairpin(turn, first, (more or [first])[-1] + 1)


def _turn_of(note: Note) -> int:
    """Tell whether a note grows louder, 1, softer, -1, or stays as it is."""
    change = note.loud_end - note.loud_start
    return 0 if abs(change) <= A_HAIR else 1 if change > 0 else -1


def is_told(part: Part, index: int) -> bool:
    """Tell whether a dynamic stands at a note: a new one, or where a hairpin leads."""
    if index == 0:
        return True
    before, note = part.notes[index - 1], part.notes[index]
    is_new = abs(note.loud_start - before.loud_end) > A_HAIR
    return is_new or _turn_of(before) not in (0, _turn_of(note))


def draw_dynamics(sheet: Sheet, x: int, y: int, line: StaffLine, part: Part) -> None:
    """Write dynamics behind their notes, and hairpins between: ``p <---- f ----> p``.

    Right under a note is the place of what points at it.
    """
    placed = [
        (x + one.head + 1, one.slot.note)
        for one in line.places
        if one.slot.kind == "note" and one.slot.note is not None
    ]
    told = {
        head: part.notes[note].dynamic for head, note in placed if is_told(part, note)
    }
    for turn, first, follows in find_hairpins([part.notes[k] for _, k in placed]):
        end = placed[follows][0] if follows < len(placed) else x + line.width
        begin = placed[first][0]
        begin += len(told[begin]) + 1 if begin in told else 0
        width = end - 1 - begin
        if width > 0:
            sheet.fill(begin, y, width, 1, sheet.signs.rule, STYLE)
            opens = turn > 0
            sheet.put(begin if opens else end - 2, y, "<" if opens else ">", STYLE)
    for head, dynamic in told.items():
        sheet.put(head, y, dynamic, STYLE)


def draw_articulations(
    sheet: Sheet, x: int, y: int, line: StaffLine, part: Part
) -> None:
    """Write over each note how it is to be played: short, held, with an accent."""
    for placed in line.places:
        note = placed.slot.note
        if placed.slot.kind == "note" and note is not None:
            sign = _sign_of(part.notes[note], sheet.signs)
            if sign:
                sheet.put(x + placed.head, y, sign, STYLE)


def _sign_of(note: Note, signs: Signs) -> str:
    """Give the sign of a note, the strongest of several; empty for none."""
    told = {
        "strong-accent": "^",
        "accent": ">",
        "staccatissimo": "'",
        "staccato": signs.dot,
        "tenuto": signs.rule,
        "detached-legato": signs.rule,
    }
    return next((told[name] for name in told if name in note.articulations), "")
