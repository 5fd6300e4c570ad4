"""Dynamics and hairpins of one line of the staff, as MEI writes them."""

from __future__ import annotations

from collections.abc import Iterator

from coach.score.phrase import Part
from coach.screens.staff.staff_dynamics import find_hairpins, is_told
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
    for turn, first, follows in find_hairpins([part.notes[k] for _, k in placed]):
        last = min(follows, len(placed) - 1)
        if last > first:
            start, end = placed[first][0], placed[last][0]
            yield (
                start,
                f'<hairpin form="{FORMS[turn]}" startid="#{start}" endid="#{end}" '
                'place="below"/>',
            )
