"""Dynamics and hairpins of one line of the staff, as MEI writes them."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from coach.score.note import Note
from coach.score.phrase import Part
from coach.screens.staff.staff_lines import StaffLine

A_HAIR = 1e-6
"""Steps of loudness that are no difference."""

FORMS = {1: "cres", -1: "dim"}


def write_dynamics(line: StaffLine, part: Part) -> Iterator[tuple[str, str]]:
    """Write each dynamic where it begins to hold, and a hairpin where it changes."""
    placed = [
        (f"s{k}", p.slot.note)
        for k, p in enumerate(line.places)
        if p.slot.kind == "note" and p.slot.note is not None
    ]
    for name, index in placed:
        if _is_told(part, index):
            dynamic = part.notes[index].dynamic
            yield name, f'<dynam startid="#{name}" place="below">{dynamic}</dynam>'
    turns = groupby(enumerate(placed), lambda item: _turn(part.notes[item[1][1]]))
    for turn, run in turns:
        first, *more = [k for k, _ in run]
        last = min((more or [first])[-1] + 1, len(placed) - 1)
        if turn and last > first:
            start, end = placed[first][0], placed[last][0]
            yield (
                start,
                f'<hairpin form="{FORMS[turn]}" startid="#{start}" endid="#{end}" '
                'place="below"/>',
            )


def _turn(note: Note) -> int:
    """Tell whether a note grows louder, 1, softer, -1, or stays as it is."""
    change = note.loud_end - note.loud_start
    return 0 if abs(change) <= A_HAIR else 1 if change > 0 else -1


def _is_told(part: Part, index: int) -> bool:
    """Tell whether a dynamic stands at a note: a new one, or where a hairpin leads."""
    if index == 0:
        return True
    before, note = part.notes[index - 1], part.notes[index]
    is_new = abs(note.loud_start - before.loud_end) > A_HAIR
    return is_new or _turn(before) not in (0, _turn(note))
