"""Where the places of a line stand once it is engraved: under their heads, in cells."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from coach.planning.plan import Plan
from coach.score.phrase import Part
from coach.screens.staff.staff_lines import Placed, StaffLine
from coach.screens.staff.staff_slots import Slot, name_of


def follow_heads(
    line: StaffLine,
    heads: Mapping[str, float],
    labels: Sequence[tuple[int, int]],
    *,
    cell: float,
    prefix: int,
    width: int,
) -> StaffLine:
    """Put the places of a line where the engraver put them.

    Parameters
    ----------
    heads : mapping
        Middle of each head, rest and bar line by its id, in pixels from the picture's
        left edge.
    labels : sequence of (int, int)
        Cells that each place needs to the left of its head and from its head on.
    cell : float
        Width of a cell, in pixels.
    prefix : int
        Cells of the picture before the line's own first cell.
    width : int
        Cells of the picture after them.

    Returns
    -------
    StaffLine
        Heads in the order of the line, far enough apart for what is written under
        them, none outside.
    """
    wanted = _wanted(line, heads, cell, prefix)
    apart = [max(1, right + left) for (_, right), (left, _) in pairwise(labels)]
    at = [max(0, wanted[0])]
    for k, needed in enumerate(apart):
        at.append(max(wanted[k + 1], at[-1] + needed))
    latest = width - 1
    for k in range(len(at) - 1, -1, -1):
        at[k] = max(0, min(at[k], latest))
        latest = at[k] - (apart[k - 1] if k else 0)
    firsts = [
        max(0, head - placed.slot.head)
        for head, placed in zip(at, line.places, strict=True)
    ]
    firsts = [max(firsts[: k + 1]) for k in range(len(firsts))]
    places = tuple(
        Placed(replace(placed.slot, head=head - first), first, max(1, after - first))
        for placed, head, first, after in zip(
            line.places, at, firsts, [*firsts[1:], width], strict=True
        )
    )
    return replace(line, places=places, width=width)


def _wanted(
    line: StaffLine, heads: Mapping[str, float], cell: float, prefix: int
) -> list[int]:
    """Give the cell of each head; a place without one follows the place before."""
    wanted: list[int] = []
    for k, placed in enumerate(line.places):
        kind = "m" if placed.slot.kind == "bar" else "s"
        middle = heads.get(f"{kind}{k}")
        if middle is not None:
            wanted.append(int(middle / cell) - prefix)
        elif wanted:
            wanted.append(wanted[-1] + 1)
        else:
            wanted.append(0)
    return wanted


def label_cells(
    line: StaffLine, part: Part, plan: Plan | None, *, has_names: bool
) -> list[tuple[int, int]]:
    """Tell how many cells each place's words take: left of its head, and from it on."""
    return [_cells(p.slot, part, plan, has_names=has_names) for p in line.places]


def _cells(
    slot: Slot, part: Part, plan: Plan | None, *, has_names: bool
) -> tuple[int, int]:
    """Tell how many cells the name and the position of one note take."""
    if slot.kind != "note" or slot.note is None:
        return 0, 1
    left, right = 0, 1
    if has_names:
        right = len(name_of(part.notes[slot.note].written)) + 1
    if plan is not None:
        placement = plan.slide.placements[slot.note]
        label = len(placement.label)
        if placement.is_alternate:
            left, right = 1, max(right, label + 1)
        else:
            left, right = max(0, label - 1), max(right, 2)
    return left, right
