"""The staff of a tune that is being typed: the line of notes at the cursor."""

from __future__ import annotations

from bisect import bisect_right
from typing import TYPE_CHECKING

from coach.screens.staff.staff_drawing import StaffDrawing, prefix_width
from coach.screens.staff.staff_lines import break_lines
from coach.screens.staff.staff_picture import NARROWEST_LINE, StaffPicture
from coach.screens.staff.staff_slots import cut_slots, widen_slots
from coach.screens.staff.terminal_rows import share_rows, staff_span

if TYPE_CHECKING:
    from coach.score.phrase import Part
    from coach.screens.widgets.sheet import Sheet


class TypedStaff(StaffPicture):
    """One line of a part; nothing until one is shown."""

    _part: Part | None = None
    _bar = 0

    def show_part(self, part: Part) -> None:
        """Show another part."""
        self._part = part
        self.redraw()

    def show_bar(self, bar: int) -> None:
        """Show the line that a bar of the page, counted from 0, is in."""
        if bar != self._bar:
            self._bar = bar
            self.redraw()

    def draw(self, sheet: Sheet) -> None:
        """Draw clef, key and the line of notes."""
        part = self._part
        if part is None:
            return
        slots = widen_slots(cut_slots(part), part, None, has_names=True)
        rows = share_rows(sheet.height, staff_span(slots), has_plan=False)
        prefix = prefix_width(part.bars[0].fifths) if rows.has_staff else 0
        width = max(NARROWEST_LINE, sheet.width - prefix)
        lines = break_lines(part, slots, [width])
        bars = {bar.number: bar.onset for bar in reversed(part.bars)}
        onsets = [bars[number] for number in sorted(bars)]
        onset = onsets[min(self._bar, len(onsets) - 1)]
        line = lines[max(0, bisect_right(lines, onset, key=lambda x: x.start) - 1)]
        drawing = StaffDrawing(part, None, self.signs)
        drawing.draw_prefix(sheet, 0, rows, line)
        drawing.draw_line(sheet, prefix, rows, line)
