"""Draw a line of the staff: breaths, slurs, notes, lengths, names, positions, tongue.

Two steps of the scale share a row of cells: a note on a line fills the lower half of
its cell, a note in the space above it the upper half.
"""

from __future__ import annotations

from coach.screens.staff.staff_dynamics import draw_articulations, draw_dynamics
from coach.screens.staff.staff_lengths import draw_lengths
from coach.screens.staff.staff_lines import Placed, StaffLine
from coach.screens.staff.staff_slots import (
    HALF,
    QUARTER,
    Slot,
)
from coach.screens.staff.staff_words import LEFT_OUT, StaffWords
from coach.screens.staff.terminal_rows import TOP_LINE_ROW, StaffRows
from coach.screens.widgets.sheet import Sheet

STAFF_ROWS = 5
"""Rows of the five lines, each with the space above it."""

CLEF_LINES = {"bass": ("F", 3), "tenor": ("C", 3), "alto": ("C", 2), "treble": ("G", 1)}
"""A clef is the letter of a note, on the line of that note (0 is the lowest)."""

TREBLE_SHARPS = (8, 5, 9, 6, 3, 7, 4)
TREBLE_FLATS = (4, 7, 3, 6, 2, 5, 1)
TENOR_SHARPS = (2, 6, 3, 7, 4, 8, 5)
SIGNATURE_SHIFTS = {"bass": -2, "tenor": 1, "alto": -1, "treble": 0}
"""How many steps higher than in treble clef a signature stands (engraving usage)."""


def prefix_width(fifths: int) -> int:
    """Tell how many cells clef and key signature take."""
    return 3 + abs(fifths) + (1 if fifths else 0)


class StaffDrawing(StaffWords):
    """Draws lines of one part with one plan into a sheet."""

    def draw_prefix(
        self, sheet: Sheet, x: int, rows: StaffRows, line: StaffLine
    ) -> int:
        """Draw clef and key signature; give the cell after them."""
        if not rows.has_staff:
            return x
        width = prefix_width(line.fifths)
        if rows.breaths is not None:
            sheet.put(x, rows.breaths, str(line.bar), "staff--number")
        self._draw_lines(sheet, x, width, rows)
        letter, clef_line = CLEF_LINES.get(line.clef, CLEF_LINES["bass"])
        sheet.put(x, rows.row_of(2 * clef_line), letter, "staff--clef")
        if letter == "F":
            sheet.put(x + 1, rows.row_of(2 * clef_line), ":", "staff--clef")
        for k, step in enumerate(signature_steps(line.clef, line.fifths)):
            sign = self.signs.sharp if line.fifths > 0 else self.signs.flat
            sheet.put(x + 3 + k, rows.row_of(step), sign, "staff--sign")
        return x + width

    def draw_words(
        self, sheet: Sheet, x: int, rows: StaffRows, line: StaffLine
    ) -> None:
        """Draw all that stands over and under a staff that is a picture."""
        if rows.breaths is not None and x:
            sheet.put(0, rows.breaths, str(line.bar), "staff--number")
        for placed in line.places:
            if placed.slot.kind == "bar":
                self._draw_number(sheet, x + placed.x, rows, placed, line)
            elif placed.slot.kind == "note":
                self.draw_note_words(sheet, x + placed.x, rows, placed)
            self.draw_breath(sheet, x + placed.x, rows, placed)
        if rows.tongue is not None:
            self.draw_begins(sheet, x, rows.tongue, line)

    def draw_line(self, sheet: Sheet, x: int, rows: StaffRows, line: StaffLine) -> None:
        """Draw all that stands in a line, its first cell at `x`."""
        if rows.has_staff:
            self._draw_lines(sheet, x, line.width, rows)
        if rows.slurs is not None:
            self._draw_slurs(sheet, x, rows.slurs, line)
        if rows.lengths is not None:
            draw_lengths(sheet, x, rows.lengths, line, self.part)
        if rows.slurs is not None:
            draw_articulations(sheet, x, rows.slurs, line, self.part)
        if rows.pointer is not None:
            draw_dynamics(sheet, x, rows.pointer, line, self.part)
        for placed in line.places:
            self._draw_slot(sheet, x + placed.x, rows, placed, line)
        if rows.tongue is not None:
            self.draw_begins(sheet, x, rows.tongue, line)

    def _draw_lines(self, sheet: Sheet, x: int, width: int, rows: StaffRows) -> None:
        for step in range(0, 2 * STAFF_ROWS, 2):
            sheet.fill(x, rows.row_of(step), width, 1, self.signs.line, "staff--line")

    def _draw_slot(
        self, sheet: Sheet, x: int, rows: StaffRows, placed: Placed, line: StaffLine
    ) -> None:
        """Draw what stands in one slot."""
        slot = placed.slot
        if slot.kind == "bar":
            self._draw_bar_line(sheet, x, rows, slot)
            self._draw_number(sheet, x, rows, placed, line)
        elif slot.kind == "rest":
            self._draw_rest(sheet, x + slot.head, rows, slot)
        else:
            self._draw_note(sheet, x, rows, placed)
            self.draw_breath(sheet, x, rows, placed)

    def _draw_bar_line(self, sheet: Sheet, x: int, rows: StaffRows, slot: Slot) -> None:
        if rows.has_staff:
            for step in range(0, 2 * TOP_LINE_ROW, 2):
                sheet.put(x, rows.row_of(step), self.signs.bar_line, "staff--bar")
            if slot.clef:
                letter, line = CLEF_LINES.get(slot.clef, CLEF_LINES["bass"])
                sheet.put(x + 2, rows.row_of(2 * line), letter, "staff--clef")
        elif rows.names is not None:
            sheet.put(x, rows.names, self.signs.bar_line, "staff--bar")

    def _draw_number(
        self, sheet: Sheet, x: int, rows: StaffRows, placed: Placed, line: StaffLine
    ) -> None:
        """Write the number of the bar that a bar line begins."""
        if rows.breaths is not None and placed is not line.places[-1]:
            sheet.put(x + 1, rows.breaths, str(placed.slot.bar), "staff--number")

    def _draw_rest(self, sheet: Sheet, x: int, rows: StaffRows, slot: Slot) -> None:
        signs = self.signs
        if slot.shown >= HALF:
            sign = signs.long_rest
        elif slot.shown >= QUARTER:
            sign = signs.rest
        else:
            sign = signs.short_rest
        middle = 4
        row = rows.row_of(middle) if rows.has_staff else rows.names
        if row is not None:
            sheet.put(x, row, sign, "staff--rest")

    def _draw_note(self, sheet: Sheet, x: int, rows: StaffRows, placed: Placed) -> None:
        if rows.has_staff:
            self._draw_head(sheet, x, rows, placed.slot)
        if placed.slot.kind == "note":
            self.draw_note_words(sheet, x, rows, placed)

    def _draw_head(self, sheet: Sheet, x: int, rows: StaffRows, slot: Slot) -> None:
        """Draw the head with its accidental and ledger lines."""
        signs = self.signs
        head = x + slot.head
        row = rows.row_of(slot.step)
        for step in _ledger_steps(slot.step):
            sheet.fill(head - 1, rows.row_of(step), 3, 1, signs.line, "staff--line")
        style = "staff--held" if slot.kind == "tie" else "staff--note"
        sheet.put(
            head, row, signs.on_line if slot.step % 2 == 0 else signs.in_space, style
        )
        sign = ""
        if slot.accidental is not None:
            sign = {
                0: signs.natural,
                1: signs.sharp,
                -1: signs.flat,
                2: signs.sharp * 2,
                -2: signs.flat * 2,
            }.get(slot.accidental, "")
            sheet.put(head - len(sign), row, sign, "staff--sign")
        if self.is_left_out(slot.note):
            sheet.put(head - len(sign) - 1, row, "[", LEFT_OUT)
            sheet.put(head + 1, row, "]", LEFT_OUT)

    def _draw_slurs(self, sheet: Sheet, x: int, y: int, line: StaffLine) -> None:
        """Draw an arc over each stretch of slurred notes."""
        left_sign, middle, right_sign = self.signs.arc
        notes = [placed for placed in line.places if placed.slot.kind == "note"]
        part_notes = self.part.notes
        for k, placed in enumerate(notes):
            index = placed.slot.note
            if index is None:
                continue
            goes_on = index + 1 < len(part_notes) and part_notes[index + 1].is_slurred
            if part_notes[index].is_slurred:
                start = x + notes[k - 1].head + 1 if k else x
                here = x + placed.head
                sheet.fill(start, y, here - start, 1, middle, "staff--slur")
                sheet.put(here, y, middle if goes_on else right_sign, "staff--slur")
            elif goes_on:
                sheet.put(x + placed.head, y, left_sign, "staff--slur")
            if goes_on and k == len(notes) - 1:
                start = x + placed.head + 1
                sheet.fill(start, y, x + line.width - start, 1, middle, "staff--slur")


def _ledger_steps(step: int) -> list[int]:
    """Give the steps of the ledger lines a note needs."""
    top = 2 * TOP_LINE_ROW
    if step > top:
        return list(range(top + 2, step + 1, 2))
    return list(range(-2, step - 1, -2))


def signature_steps(clef: str, fifths: int) -> list[int]:
    """Give the steps above the lowest line of a key signature's signs."""
    if fifths > 0 and clef == "tenor":
        return list(TENOR_SHARPS[:fifths])
    shift = SIGNATURE_SHIFTS.get(clef, SIGNATURE_SHIFTS["bass"])
    in_treble = TREBLE_SHARPS[:fifths] if fifths > 0 else TREBLE_FLATS[:-fifths]
    return [step + shift for step in in_treble]
