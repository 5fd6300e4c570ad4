"""The opening bars of an etude, as they stand on the page."""

from __future__ import annotations

from coach.score.phrase import Part
from coach.screens.staff.staff_drawing import StaffDrawing, prefix_width
from coach.screens.staff.staff_lines import break_lines
from coach.screens.staff.staff_picture import NARROWEST_LINE, StaffPicture
from coach.screens.staff.staff_slots import cut_slots, widen_slots
from coach.screens.staff.terminal_rows import share_rows, staff_span
from coach.screens.widgets.sheet import Sheet

MOST_NOTES = 200
"""More than these are not in the opening."""


class Opening(StaffPicture):
    """The first line of a part; nothing until one is shown."""

    _part: Part | None = None

    def show_part(self, part: Part | None) -> None:
        """Show another part, or none."""
        if part is not self._part:
            self._part = part
            self.redraw()

    def draw(self, sheet: Sheet) -> None:
        """Draw clef, key and the first line of notes."""
        part = self._part
        if part is None:
            return
        slots = widen_slots(cut_slots(part)[:MOST_NOTES], part, None, has_names=False)
        rows = share_rows(sheet.height, staff_span(slots), has_plan=False)
        prefix = prefix_width(part.bars[0].fifths) if rows.has_staff else 0
        width = max(NARROWEST_LINE, sheet.width - prefix)
        line = break_lines(part, slots, [width])[0]
        drawing = StaffDrawing(part, None, self.signs)
        drawing.draw_prefix(sheet, 0, rows, line)
        drawing.draw_line(sheet, prefix, rows, line)
