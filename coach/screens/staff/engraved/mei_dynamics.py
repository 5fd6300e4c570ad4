"""Dynamics and hairpins of one line of the staff, as MEI writes them."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator

from coach.score.phrase import Part
from coach.screens.staff.staff_dynamics import find_hairpins, is_told
from coach.screens.staff.staff_lines import StaffLine

FORMS = {1: "cres", -1: "dim"}


def write_dynamics(line: StaffLine, part: Part) -> Iterator[tuple[str, str]]:
    """Write each dynamic where it begins to hold, and a hairpin where it changes."""
    placed = [
        (k, p.slot.note)
        for k, p in enumerate(line.places)
        if p.slot.kind == "note" and p.slot.note is not None
    ]
    for k, index in placed:
        if is_told(part, index):
            dynamic = part.notes[index].dynamic
            yield f"s{k}", f'<dynam startid="#s{k}" place="below">{dynamic}</dynam>'
    for turn, first, follows in find_hairpins([part.notes[note] for _, note in placed]):
        last = min(follows, len(placed) - 1)
        if last > first:
            start, end = placed[first][0], placed[last][0]
            yield (
                f"s{start}",
                f'<hairpin form="{FORMS[turn]}" startid="#s{start}" '
                f'{_end(line, part, start, end)} place="below"/>',
            )


def _end(line: StaffLine, part: Part, start: int, end: int) -> str:
    """Say where a hairpin ends: at a note, or at the bar line right before it.

    An engraver may break the line there, and would begin the next with its tip.
    """
    if line.places[end - 1].slot.kind != "bar":
        return f'endid="#s{end}"'
    crossed = sum(place.slot.kind == "bar" for place in line.places[start : end - 1])
    at = line.places[end].slot.at
    bar = part.bars[bisect_left(part.bars, at, key=lambda bar: bar.onset) - 1]
    beats = float((at - bar.onset) / bar.metre.unit_beats)
    return f'tstamp2="{crossed}m+{beats + 1:g}"'
