"""The opening bars of an etude, as they stand on the page."""

from __future__ import annotations

from coach.score.phrase import Part
from coach.screens.staff.engraved.engraved_picture import EngravedPicture, LineFrame
from coach.screens.staff.staff_drawing import StaffDrawing, prefix_width
from coach.screens.staff.staff_lines import StaffLine, break_lines
from coach.screens.staff.staff_picture import NARROWEST_LINE
from coach.screens.staff.staff_slots import cut_slots, widen_slots
from coach.screens.staff.terminal_rows import StaffRows, share_rows, staff_span
from coach.screens.widgets.sheet import Sheet

MOST_NOTES = 200
"""More than these are not in the opening."""


class Opening(EngravedPicture):
    """The first line of a part; nothing until one is shown."""

    _part: Part | None = None
    _laid: tuple[StaffLine, StaffRows, int] | None = None

    def show_part(self, part: Part) -> None:
        """Show another part."""
        if part is not self._part:
            self._part = part
            self.redraw()

    def _lay_out(self, part: Part, sheet: Sheet) -> tuple[StaffLine, StaffRows, int]:
        """Break the first line, where part or size have changed, and have it engraved.

        It comes with the rows that it has and the cells of clef and key.
        """
        laid_for = (part, sheet.width, sheet.height)
        if self._laid is not None and self._laid_for == laid_for:
            return self._laid
        slots = widen_slots(cut_slots(part)[:MOST_NOTES], part, None, has_names=False)
        rows = share_rows(sheet.height, staff_span(slots), has_plan=False)
        prefix = prefix_width(part.bars[0].fifths) if rows.has_staff else 0
        width = max(NARROWEST_LINE, sheet.width - prefix)
        line = break_lines(part, slots, [width])[0]
        self._laid_for, self._laid = laid_for, (line, rows, prefix)
        frame = LineFrame(prefix + line.width, has_prefix=True)
        self.ask_pictures([line], [frame], part, rows)
        return self._laid

    def draw(self, sheet: Sheet) -> None:
        """Draw clef, key and the first line of notes, or lay their picture there."""
        part = self._part
        if part is None:
            return
        line, rows, prefix = self._lay_out(part, sheet)
        drawing = StaffDrawing(part, None, self.signs)
        has_names = rows.names is not None
        engraved = self.engraved(0, line, prefix, part, None, has_names=has_names)
        if engraved is None:
            drawing.draw_prefix(sheet, 0, rows, line)
            drawing.draw_line(sheet, prefix, rows, line)
        else:
            drawing.draw_words(sheet, prefix, rows, engraved.line)
            self.place_picture(0, 0, engraved, rows)
