"""Break slots into lines of a given width, and tell where in them a beat falls."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from coach.score.phrase import Part
from coach.score.tempo import Beats
from coach.screens.staff.staff_slots import Slot

GOOD_FILL = Fraction(3, 5)
"""A line that ends with a bar is good enough when it is filled this far."""

WIDEST_STRETCH = Fraction(3, 2)
"""Slots are never drawn out further than this to fill a line."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A slot and where it stands."""

    slot: Slot
    """What stands there."""

    x: int
    """First cell of the slot, from the line's first cell."""

    width: int
    """Cells up to the next slot."""

    @property
    def head(self) -> int:
        """Cell of the note head."""
        return self.x + self.slot.head


@dataclass(frozen=True, slots=True)
class StaffLine:
    """What stands side by side in one line."""

    places: tuple[Placed, ...]
    """In order."""

    width: int
    """Cells that the line fills."""

    clef: str
    """Clef in force at its start."""

    fifths: int
    """Key signature in force at its start."""

    bar: int
    """Number of the bar it starts in."""

    @property
    def start(self) -> Beats:
        """Where its first slot starts."""
        return self.places[0].slot.at

    @property
    def end(self) -> Beats:
        """Where its last slot ends."""
        return self.places[-1].slot.end

    def start_of_sounding(self, place: float) -> int:
        """Give the first cell of the slot that sounds at a place of the page."""
        return self._sounding_at(place)[0].x

    def x_at(self, place: float) -> int:
        """Give the cell that a place of the page falls on, between two heads too."""
        here, following = self._sounding_at(place)
        right = self.width if following is None else following.head
        start = float(here.slot.at)
        length = float(here.slot.end) - start or 1.0
        share = min(1.0, max(0.0, (place - start) / length))
        return min(self.width - 1, here.head + int(share * (right - here.head)))

    def _sounding_at(self, place: float) -> tuple[Placed, Placed | None]:
        """Find what sounds at a place of the page, and what sounds after it."""
        sounding = [placed for placed in self.places if placed.slot.kind != "bar"]
        k = bisect_right(sounding, place, key=lambda placed: float(placed.slot.at))
        here = max(0, k - 1)
        after = sounding[here + 1] if here + 1 < len(sounding) else None
        return sounding[here], after


def break_lines(
    part: Part, slots: Sequence[Slot], widths: Sequence[int]
) -> tuple[StaffLine, ...]:
    """Break slots into lines; the widths of the lines come round in turn.

    A line ends with a bar where that leaves it well filled, else with a beam, else
    wherever it is full.
    """
    lines: list[StaffLine] = []
    first = 0
    while first < len(slots):
        width = widths[len(lines) % len(widths)]
        after = _line_end(slots, first, width)
        is_last = after == len(slots)
        lines.append(_place(part, slots[first:after], width, is_last=is_last))
        first = after
    return tuple(lines)


def _line_end(slots: Sequence[Slot], first: int, width: int) -> int:
    """Find the slot that the next line starts with."""
    after = first + (2 if slots[first].kind == "bar" else 1)
    used = sum(slot.width for slot in slots[first:after])
    while after < len(slots) and used + slots[after].width <= width:
        used += slots[after].width
        after += 1
    if after == len(slots):
        return after
    bar_end, beam_end = None, None
    filled = 0
    for k in range(first, after):
        filled += slots[k].width
        if slots[k].kind == "bar" and k > first and filled >= GOOD_FILL * width:
            bar_end = k + 1
        if _may_break(slots, k) and filled >= width // 2:
            beam_end = k + 1
    return bar_end or beam_end or after


def _may_break(slots: Sequence[Slot], k: int) -> bool:
    """Tell whether the slot after this one stands under another beam."""
    here, following = slots[k], slots[k + 1]
    if following.kind == "bar":
        return False
    return (here.bar, here.group) != (following.bar, following.group)


def _place(
    part: Part, slots: Sequence[Slot], width: int, *, is_last: bool
) -> StaffLine:
    """Put slots side by side, drawn out to fill the line unless it is the last."""
    if slots[0].kind == "bar" and len(slots) > 1:
        slots = slots[1:]
    natural = sum(slot.width for slot in slots)
    spare = 0 if is_last else max(0, width - natural)
    spare = min(spare, int(natural * (WIDEST_STRETCH - 1)))
    stretchy = sum(slot.width for slot in slots if slot.kind != "bar") or 1
    places = []
    x = given = seen = 0
    for slot in slots:
        extra = 0
        if slot.kind != "bar":
            seen += slot.width
            extra = spare * seen // stretchy - given
            given += extra
        places.append(Placed(slot, x, slot.width + extra))
        x += slot.width + extra
    bar = _bar_at(part, slots[0].at)
    return StaffLine(
        tuple(places),
        max(x, 1),
        part.bars[bar].clef,
        part.bars[bar].fifths,
        part.bars[bar].number,
    )


def _bar_at(part: Part, place: Beats) -> int:
    """Find the index of the bar that a place lies in."""
    return max(0, bisect_right(part.bars, place, key=lambda bar: bar.onset) - 1)
