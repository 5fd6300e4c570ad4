"""Share the terminal's rows among what a line of the staff can show."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coach.screens.staff.staff_slots import Slot

TOP_LINE_ROW = 4
"""Row of the top line; each row holds a line and the space above it."""


@dataclass(frozen=True, slots=True)
class StaffRows:
    """Which row shows what; None where there is no room for it."""

    breaths: int | None
    """Breaths with their length, bar numbers and rehearsal marks."""

    slurs: int | None
    """Slurs of the page."""

    staff: int
    """First row of the staff; the top ledger space."""

    lowest: int
    """Row number of the lowest staff row: 0 is the lowest line, negative below."""

    highest: int
    """Row number of the highest staff row."""

    lengths: int | None
    """Stems and beams."""

    names: int | None
    """Names of the notes."""

    positions: int | None
    """Slide positions or valves."""

    tongue: int | None
    """How each note is begun."""

    pointer: int | None
    """Playhead or cursor."""

    height: int
    """Rows in all."""

    @property
    def has_staff(self) -> bool:
        """There is room for the five lines; else names stand for them."""
        return self.highest >= self.lowest

    @property
    def drawn(self) -> range:
        """The rows that a picture of the staff may fill: slurs, staff and lengths."""
        first = self.staff if self.slurs is None else self.slurs
        last = self.staff + self.highest - self.lowest
        return range(first, (last if self.lengths is None else self.lengths) + 1)

    def row_of(self, step: int) -> int:
        """Give the sheet's row for a step above the lowest line."""
        return self.staff + self.highest - step // 2


def staff_span(slots: Sequence[Slot]) -> tuple[int, int]:
    """Give the lowest and highest staff row that the notes need."""
    steps = [slot.step for slot in slots if slot.kind in ("note", "tie")]
    lowest = min([0, *(step // 2 for step in steps)])
    highest = max([TOP_LINE_ROW, *(step // 2 for step in steps)])
    return lowest, highest


def share_rows(height: int, span: tuple[int, int], *, has_plan: bool) -> StaffRows:
    """Share the rows of a strip among what it can show, the dearest first."""
    lowest, highest = span
    staff_rows = highest - lowest + 1
    # How each note is begun tells of slurs too; nothing else tells its name.
    wanted = ["pointer", "breaths", "positions", "tongue", "lengths", "names", "slurs"]
    if not has_plan:
        wanted = [name for name in wanted if name not in ("positions", "tongue")]
    spare = height - staff_rows
    least = 3
    if spare < least:
        return _text_rows(height, has_plan=has_plan)
    kept = set(wanted[:spare])
    rows: dict[str, int] = {}
    y = 0
    for name in (
        "breaths",
        "slurs",
        "staff",
        "lengths",
        "names",
        "positions",
        "tongue",
        "pointer",
    ):
        if name == "staff":
            rows[name] = y
            y += staff_rows
        elif name in kept:
            rows[name] = y
            y += 1
    return StaffRows(
        rows.get("breaths"),
        rows.get("slurs"),
        rows["staff"],
        lowest,
        highest,
        rows.get("lengths"),
        rows.get("names"),
        rows.get("positions"),
        rows.get("tongue"),
        rows.get("pointer"),
        y,
    )


def _text_rows(height: int, *, has_plan: bool) -> StaffRows:
    """Share few rows: names in the place of a staff."""
    wanted = ["names", "pointer", "breaths", "positions", "lengths", "tongue", "slurs"]
    if not has_plan:
        wanted = [name for name in wanted if name not in ("positions", "tongue")]
    kept = set(wanted[: max(1, height)])
    rows: dict[str, int] = {}
    for name in (
        "breaths",
        "slurs",
        "lengths",
        "names",
        "positions",
        "tongue",
        "pointer",
    ):
        if name in kept:
            rows[name] = len(rows)
    return StaffRows(
        rows.get("breaths"),
        rows.get("slurs"),
        0,
        0,
        -1,
        rows.get("lengths"),
        rows.get("names"),
        rows.get("positions"),
        rows.get("tongue"),
        rows.get("pointer"),
        len(rows),
    )
