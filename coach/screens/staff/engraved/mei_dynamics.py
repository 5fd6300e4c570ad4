"""Dynamics and hairpins of one line of the staff, as MEI writes them."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from coach.score.phrase import Part
from coach.screens.staff.staff_dynamics import is_told, turn_of
from coach.screens.staff.staff_lines import StaffLine

FORMS = {1: "cres", -1: "dim"}


def write_dynamics(line: StaffLine, part: Part) -> Iterator[tuple[str, str]]:
    """Write each dynamic where it begins to hold, and a hairpin where it changes."""
    placed = [
        (f"s{k}", p.slot.note)
        for k, p in enumerate(line.places)
        if p.slot.kind == "note" and p.slot.note is not None
    ]
    for name, index in placed:
        if is_told(part, index):
            dynamic = part.notes[index].dynamic
            yield name, f'<dynam startid="#{name}" place="below">{dynamic}</dynam>'
    turns = groupby(enumerate(placed), lambda item: turn_of(part.notes[item[1][1]]))
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
