"""The whole part as pages of staff lines, the air under each, and a cursor."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.message import Message

from coach.planning.edits import Edits
from coach.planning.plan import Plan
from coach.score.phrase import Part
from coach.screens.signs import FULL, Signs
from coach.screens.staff.air_curve import draw_air
from coach.screens.staff.engraved.engraved_picture import (
    Engraved,
    EngravedPicture,
    LineFrame,
)
from coach.screens.staff.staff_drawing import StaffDrawing, prefix_width
from coach.screens.staff.staff_lines import Placed, StaffLine, break_lines
from coach.screens.staff.staff_picture import NARROWEST_LINE
from coach.screens.staff.staff_slots import Slot, cut_slots, widen_slots
from coach.screens.staff.terminal_rows import StaffRows, share_rows, staff_span
from coach.screens.widgets.sheet import Sheet

if TYPE_CHECKING:
    from coach.screens.staff.engraved.staff_engraver import Engraver

EXTRA_ROWS = 7
"""Rows of a line besides the staff itself: breaths, slurs, lengths and so on."""

LEAST_EXTRA = 5
"""The fewest of them, when more lines are worth more than all their rows."""

AIR_ROWS = 4
LEAST_AIR = 2
LEAST_STAFF = 8
"""Rows below which names stand for the staff."""

LEAST_TEXT = 3


class StaffPages(EngravedPicture):
    """Lines of the part, as many as fit, around the cursor."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "staff--cursor",
        "staff--segment",
    }

    class Touched(Message):
        """A note was clicked."""

        def __init__(self, note: int) -> None:
            super().__init__()
            self.note = note

    def __init__(
        self,
        signs: Signs = FULL,
        *,
        engraver: Engraver | None = None,
        id: str | None = None,
    ) -> None:
        super().__init__(signs, engraver=engraver, id=id)
        self._empty = 0.0
        self._plan: Plan | None = None
        self._edits = Edits()
        self._cursor = 0
        self._segment: tuple[int, int] | None = None
        self._lines: tuple[StaffLine, ...] = ()
        self._broken: object = None
        self._drawn: dict[int, tuple[StaffLine, object, Sheet]] = {}
        """Each line as drawn last, the wishes in it, and its cells without cursor."""
        self._cut: tuple[Part, tuple[Slot, ...]] | None = None
        self._rows: StaffRows | None = None
        self._air_rows = 0
        self._prefix = 0
        self._first_line = 0

    def show_plan(self, plan: Plan, edits: Edits, empty: float) -> None:
        """Take another plan; it is drawn with the cursor."""
        self._plan, self._edits, self._empty = plan, edits, empty
        self._laid_for = None

    def show_wishes(self, edits: Edits) -> None:
        """Draw what the player insists on, before there is a plan for it."""
        self._edits = edits
        self.redraw()

    def show_told(self, plan: Plan) -> None:
        """Take the same plan, of which more is known by now: nothing moves."""
        self._plan = plan
        self._drawn.clear()

    def show_cursor(self, note: int, segment: tuple[int, int] | None) -> None:
        """Show where the cursor stands, and the bars chosen for rehearsing."""
        self._cursor, self._segment = note, segment
        self.redraw()

    @property
    def lines_in_view(self) -> int:
        """Lines that one page holds."""
        rows = self._rows
        if rows is None:
            return 1
        return max(1, self.content_size.height // (rows.height + self._air_rows))

    def line_of(self, note: int) -> int:
        """Tell which line a note stands in."""
        self._lay_out()
        for k, line in enumerate(self._lines):
            if any(placed.slot.note == note for placed in line.places):
                return k
        return 0

    def note_by_lines(self, note: int, lines: int) -> int:
        """Give the note that stands some lines below or above a note."""
        here = self.line_of(note)
        there = max(0, min(len(self._lines) - 1, here + lines))
        if there == here:
            return note
        x = next(p.head for p in self._shown(here).places if p.slot.note == note)
        notes = [p for p in self._shown(there).places if p.slot.kind == "note"]
        if not notes:
            return note
        nearest = min(notes, key=lambda placed: abs(placed.head - x))
        return nearest.slot.note or 0

    def _lay_out(self) -> None:
        plan, size = self._plan, self.content_size
        if plan is None:
            return
        key = (id(plan.slide), size.width, size.height)
        if self._laid_for == key:
            return
        self._laid_for = key
        self._drawn.clear()
        part = plan.part
        if self._cut is None or self._cut[0] is not part:
            self._cut = (part, cut_slots(part))
        bare = self._cut[1]
        span = staff_span(bare)
        staff = span[1] - span[0] + 1
        in_view = max(1, size.height // (staff + LEAST_EXTRA + LEAST_AIR))
        each = size.height // in_view
        self._air_rows = min(AIR_ROWS, max(LEAST_AIR, each - staff - EXTRA_ROWS))
        if each < LEAST_STAFF:
            self._air_rows = min(LEAST_AIR, max(0, each - LEAST_TEXT))
        rows = share_rows(
            min(each - self._air_rows, staff + EXTRA_ROWS), span, has_plan=True
        )
        self._rows = rows
        self._prefix = (
            prefix_width(max(abs(bar.fifths) for bar in part.bars))
            if rows.has_staff
            else 0
        )
        width = max(NARROWEST_LINE, size.width - self._prefix)
        has_names = rows.names is not None
        slots = widen_slots(bare, part, plan, has_names=has_names)
        broken = (part, slots, width)
        if self._broken != broken:
            self._broken, self._lines = broken, break_lines(part, slots, [width])
        self.ask_pictures(self._lines, self._frames(), part, rows)

    def _frames(self) -> list[LineFrame]:
        """Give what each line's picture lies on: all of the width for the last too."""
        widths = [line.width for line in self._lines]
        widths[-1:] = [max(widths, default=0)]
        return [LineFrame(self._prefix + width, has_prefix=True) for width in widths]

    def _picture_of(self, index: int) -> Engraved | None:
        """Give a line with its picture, if there is one."""
        plan, rows = self._plan, self._rows
        if plan is None or rows is None:
            return None
        line, has_names = self._lines[index], rows.names is not None
        return self.engraved(
            index, line, self._prefix, plan.part, plan, has_names=has_names
        )

    def _shown(self, index: int) -> StaffLine:
        """Give a line as it stands on the screen."""
        engraved = self._picture_of(index)
        return self._lines[index] if engraved is None else engraved.line

    def draw(self, sheet: Sheet) -> None:
        """Draw the lines in view."""
        self._lay_out()
        plan, rows = self._plan, self._rows
        if plan is None or rows is None or not self._lines:
            return
        in_view = self.lines_in_view
        line = self.line_of(self._cursor)
        self._first_line = min(self._first_line, line)
        self._first_line = max(self._first_line, line - in_view + 1)
        drawing = StaffDrawing(plan.part, plan, self.signs, self._edits)
        each = rows.height + self._air_rows
        spare = sheet.height - each * in_view
        gap = spare // in_view
        for k in range(in_view):
            index = self._first_line + k
            if index < len(self._lines):
                self._draw_one(sheet, k * (each + gap), drawing, index)

    def _draw_one(
        self, sheet: Sheet, y: int, drawing: StaffDrawing, index: int
    ) -> None:
        """Draw one line with its air, its segment and the cursor."""
        rows = self._rows
        if rows is None:
            return
        engraved = self._picture_of(index)
        line = self._lines[index] if engraved is None else engraved.line
        wishes, is_engraved = drawing.wishes_on(line), engraved is not None
        of, wished, bare = self._drawn.get(index, (None, None, Sheet(0, 0)))
        if of is not line or wished != wishes:
            width, height = self._prefix + line.width, rows.height + self._air_rows
            bare = Sheet(width, height, self.signs)
            self._draw_bare(bare, drawing, line, is_engraved=is_engraved)
            self._drawn[index] = line, wishes, bare
        if engraved is not None:
            self.place_picture(0, y, engraved, rows)
        picture = Sheet(bare.width, bare.height, self.signs)
        picture.paste(0, 0, bare)
        for placed in line.places:
            self._tint(picture, rows, placed, is_engraved=is_engraved)
        sheet.paste(0, y, picture)

    def _draw_bare(
        self,
        picture: Sheet,
        drawing: StaffDrawing,
        line: StaffLine,
        *,
        is_engraved: bool,
    ) -> None:
        """Draw a line with its air, as it stands wherever the cursor is."""
        plan, rows = self._plan, self._rows
        if plan is None or rows is None:
            return
        if is_engraved:
            drawing.draw_words(picture, self._prefix, rows, line)
        else:
            drawing.draw_prefix(picture, 0, rows, line)
            drawing.draw_line(picture, self._prefix, rows, line)
        if self._air_rows:
            at = self._prefix, rows.height, self._air_rows
            draw_air(picture, at, line, plan, self._empty)

    def _tint(
        self, picture: Sheet, rows: StaffRows, placed: Placed, *, is_engraved: bool
    ) -> None:
        """Light the note under the cursor and rule over the chosen bars."""
        slot = placed.slot
        x = self._prefix + placed.x
        if (
            self._segment is not None
            and rows.pointer is not None
            and self._segment[0] <= slot.bar <= self._segment[1]
            and slot.kind != "bar"
        ):
            picture.fill(
                x, rows.pointer, placed.width, 1, self.signs.rule, "staff--segment"
            )
        if slot.kind in ("note", "tie") and slot.note == self._cursor:
            top = rows.staff if rows.has_staff else (rows.names or 0)
            if is_engraved:
                top = rows.drawn.stop
            bottom = rows.pointer if rows.pointer is not None else rows.height
            picture.tint(x, top, max(2, placed.width - 1), bottom - top, "staff--now")
            if rows.pointer is not None:
                picture.put(
                    x + slot.head, rows.pointer, self.signs.cursor, "staff--cursor"
                )

    def on_click(self, event: events.Click) -> None:
        """Put the cursor on the note that was clicked."""
        rows = self._rows
        if rows is None or not self._lines:
            return
        in_view = self.lines_in_view
        each = rows.height + self._air_rows
        gap = (self.content_size.height - each * in_view) // in_view
        index = self._first_line + event.y // (each + gap)
        if index >= len(self._lines):
            return
        for placed in self._shown(index).places:
            left = self._prefix + placed.x
            if placed.slot.kind == "note" and left <= event.x < left + placed.width:
                self.post_message(self.Touched(placed.slot.note or 0))
