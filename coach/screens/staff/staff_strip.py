"""The strip of music that a player reads in a run.

The music never moves under the eye.  Where there is room for one staff only, it is
cut in two halves: while one is played, the other already shows what comes next.
Where there is room for several, the one just left turns to the line that follows
the last one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from coach.planning.plan import Plan
from coach.rehearsal.run.mark import Mark
from coach.score.phrase import Part
from coach.screens.signs import FULL, Signs
from coach.screens.staff.air_curve import draw_air
from coach.screens.staff.engraved.engraved_picture import (
    Engraved,
    EngravedPicture,
    LineFrame,
)
from coach.screens.staff.mark_signs import mark_sign
from coach.screens.staff.staff_drawing import StaffDrawing, prefix_width
from coach.screens.staff.staff_lines import StaffLine, break_lines
from coach.screens.staff.staff_slots import Slot, cut_slots, widen_slots
from coach.screens.staff.strip_windows import (
    Window,
    draw_seam,
    lines_in_order,
    lines_shown,
    number_bar,
    place_windows,
    seen_of,
    share_height,
)
from coach.screens.staff.terminal_rows import StaffRows, staff_span
from coach.screens.widgets.sheet import Sheet

if TYPE_CHECKING:
    from coach.screens.staff.engraved.staff_engraver import Engraver

HALVES = 2
MOST_STAVES = 99
"""As many as there is room for."""


class StaffStrip(EngravedPicture):
    """The music around what sounds now."""

    def __init__(
        self,
        signs: Signs = FULL,
        *,
        has_playhead: bool = True,
        empty: float = 0.0,
        engraver: Engraver | None = None,
        id: str | None = None,
    ) -> None:
        super().__init__(signs, engraver=engraver, id=id)
        self._plan: Plan | None = None
        self._place = 0.0
        self._note: int | None = None
        self._seen: tuple[object, ...] = ()
        self._marks: tuple[Mark, ...] = ()
        self._proposed: tuple[Mark, ...] = ()
        self._has_playhead = has_playhead
        self._empty = empty
        self._lines: tuple[StaffLine, ...] = ()
        self._windows: tuple[Window, ...] = ()
        self._cut: tuple[Part, tuple[Slot, ...]] | None = None
        self._rows: StaffRows | None = None
        self._air_rows = 0
        self._drawn: dict[tuple[int, bool], Sheet] = {}
        self._in_cells: set[int] = set()

    def show_plan(self, plan: Plan, *, is_read: bool = False) -> None:
        """Show another plan; while the player reads, the notes stay where they are."""
        is_same_page = self._plan is not None and self._plan.part == plan.part
        self._plan = plan
        if is_read and is_same_page:
            self._drawn.clear()
            self.forget_words()
        else:
            self._laid_for = None
        self.redraw()

    def show_place(self, place: float, note: int | None) -> None:
        """Point at a place of the page, in quarter notes, and at the note there."""
        self._place, self._note = place, note
        before = self._seen
        self._seen = self._lines and (note, *seen_of(self._lines, place))
        # On an engraved line places lie elsewhere.
        if not self._seen or self._seen != before or self._engraver is not None:
            self.redraw()

    def show_marks(
        self, marks: tuple[Mark, ...], proposed: tuple[Mark, ...] = ()
    ) -> None:
        """Show marks where they fell, and apart those that are only proposed."""
        if (marks, proposed) != (self._marks, self._proposed):
            self._marks, self._proposed = marks, proposed
            self.redraw()

    def _lay_out(self) -> None:
        """Break lines anew when the size or the plan has changed."""
        plan, size = self._plan, self.content_size
        if plan is None or self._laid_for == (size.width, size.height):
            return
        self._laid_for = (size.width, size.height)
        self._drawn.clear()
        part = plan.part
        if self._cut is None or self._cut[0] is not part:
            self._cut = (part, cut_slots(part))
        rows = self._share_rows(self._cut[1], part, plan, MOST_STAVES)
        if 1 < len(self._windows) > len(self._lines):
            rows = self._share_rows(self._cut[1], part, plan, len(self._lines))
        self.ask_pictures(self._lines, self._frames(), part, rows)

    def _share_rows(
        self, bare: tuple[Slot, ...], part: Part, plan: Plan, most: int
    ) -> StaffRows:
        """Put up as many windows as there is room for, and break lines for them."""
        height = self.content_size.height
        staves, rows, self._air_rows = share_height(height, staff_span(bare), most)
        self._rows = rows
        fifths = max(abs(bar.fifths) for bar in part.bars)
        self._windows = place_windows(
            self.content_size,
            prefix_width(fifths) if rows.has_staff else 0,
            rows.height + self._air_rows,
            staves,
            is_one=most == 1,
        )
        has_names = rows.names is not None
        slots = widen_slots(bare, part, plan, has_names=has_names)
        self._lines = break_lines(
            part, slots, [window.width for window in self._windows]
        )
        return rows

    def _frames(self) -> list[LineFrame]:
        """Give what each line's picture lies on: all of the width for the last too."""
        frames = []
        for k, line in enumerate(self._lines):
            window = self._windows[k % len(self._windows)]
            width = window.width if k == len(self._lines) - 1 else line.width
            prefix = window.x if window.has_prefix else 0
            frames.append(LineFrame(prefix + width, has_prefix=window.has_prefix))
        return frames

    def _picture_of(self, index: int, window: Window) -> Engraved | None:
        """Give a line with its picture; no line turns into one under the eye."""
        plan, rows = self._plan, self._rows
        is_read = self._place > float(self._lines[0].start)
        if plan is None or rows is None or (is_read and index in self._in_cells):
            return None
        prefix = window.x if window.has_prefix else 0
        line, has_names = self._lines[index], rows.names is not None
        return self.engraved(index, line, prefix, plan.part, plan, has_names=has_names)

    def draw(self, sheet: Sheet) -> None:
        """Draw every window's line, then point at what sounds."""
        self._lay_out()
        plan, rows = self._plan, self._rows
        if plan is None or rows is None:
            return
        choose = lines_shown if self._has_playhead else lines_in_order
        shown = choose(self._lines, self._place, len(self._windows))
        in_cells: set[int] = set()
        for window, index in zip(self._windows, shown, strict=True):
            if index is None:
                continue
            engraved = self._picture_of(index, window)
            line = self._lines[index] if engraved is None else engraved.line
            line_sheet = self._line_sheet(index, window, plan, rows, engraved)
            left = window.x - (line_sheet.width - window.width)
            sheet.paste(left, window.y, line_sheet)
            blank = range(0)
            if engraved is None:
                in_cells.add(index)
            else:
                self.place_picture(left, window.y, engraved, rows)
                blank = rows.drawn
            if self._has_playhead:
                self._dim_past(sheet, window, rows, line, blank)
            self._point(sheet, window, rows, line, blank)
            self._draw_marks(sheet, window, rows, line)
        self._in_cells = in_cells
        if self._has_playhead:
            starts = [None if k is None else float(self._lines[k].start) for k in shown]
            place = max(0.0, self._place)
            waiting = [at if at is not None and at > place else None for at in starts]
            draw_seam(sheet, self._windows, rows, waiting, self.signs)

    def _line_sheet(
        self,
        index: int,
        window: Window,
        plan: Plan,
        rows: StaffRows,
        engraved: Engraved | None,
    ) -> Sheet:
        """Give the picture of a line, drawn once."""
        key = (index, engraved is not None)
        sheet = self._drawn.get(key)
        if sheet is None:
            drawing = StaffDrawing(plan.part, plan, self.signs)
            line = self._lines[index] if engraved is None else engraved.line
            prefix = window.x if window.has_prefix else 0
            height = rows.height + self._air_rows
            sheet = Sheet(prefix + window.width, height, self.signs)
            if engraved is not None:
                drawing.draw_words(sheet, prefix, rows, line)
            else:
                if window.has_prefix:
                    drawing.draw_prefix(sheet, 0, rows, line)
                drawing.draw_line(sheet, prefix, rows, line)
            if rows.breaths is not None and not (prefix and rows.has_staff):
                number_bar(sheet, prefix, rows.breaths, line.bar)
            if self._air_rows:
                draw_air(
                    sheet,
                    (prefix, rows.height, self._air_rows),
                    line,
                    plan,
                    self._empty,
                )
            self._drawn[key] = sheet
        return sheet

    def _dim_past(
        self,
        sheet: Sheet,
        window: Window,
        rows: StaffRows,
        line: StaffLine,
        blank: range,
    ) -> None:
        """Let what has been played step back, a note at a time; no blank rows."""
        if self._place <= float(line.start):
            return
        width = line.width
        if self._place < float(line.end):
            width = line.start_of_sounding(self._place)
        height = rows.height if rows.pointer is None else rows.pointer
        for row in range(height):
            if row not in blank:
                sheet.tint(window.x, window.y + row, width, 1, "staff--past")

    def _point(
        self,
        sheet: Sheet,
        window: Window,
        rows: StaffRows,
        line: StaffLine,
        blank: range,
    ) -> None:
        """Light the note that sounds and put the playhead under the beat."""
        place = max(self._place, float(self._lines[0].start))
        if not float(line.start) <= place < float(line.end):
            return
        x, y = window.x, window.y
        for placed in line.places:
            slot = placed.slot
            if (
                slot.kind in ("note", "tie")
                and slot.note == self._note
                and float(slot.at) <= self._place < float(slot.end)
            ):
                height = rows.highest - rows.lowest + 1 if rows.has_staff else 1
                top = rows.staff if rows.has_staff else (rows.names or 0)
                if blank:
                    height, top = (1, rows.names) if rows.names else (0, 0)
                width = max(HALVES, placed.width - 1)
                sheet.tint(x + placed.x, y + top, width, height, "staff--now")
                if rows.positions is not None:
                    sheet.tint(x + placed.x, y + rows.positions, width, 1, "staff--now")
        if rows.pointer is not None:
            sheet.put(
                x + line.x_at(self._place),
                y + rows.pointer,
                self.signs.playhead,
                "staff--pointer",
            )

    def _draw_marks(
        self, sheet: Sheet, window: Window, rows: StaffRows, line: StaffLine
    ) -> None:
        """Show the run's marks in the playhead's row."""
        plan = self._plan
        if rows.pointer is None or plan is None:
            return
        for mark in (*self._proposed, *self._marks):
            place = plan.tempo_map.beats_at(mark.at)
            if float(line.start) <= place < float(line.end):
                x, y = window.x + line.x_at(place), window.y + rows.pointer
                style = "staff--mark" if mark in self._marks else "staff--proposed"
                sheet.put(x, y, mark_sign(self.signs, mark.kind), style)
