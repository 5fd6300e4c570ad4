"""Where the lines of a run stand on the screen, and which of them is shown there."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from textual.geometry import Size

from coach.screens.signs import Signs
from coach.screens.staff.staff_lines import StaffLine
from coach.screens.staff.staff_picture import NARROWEST_LINE
from coach.screens.staff.terminal_rows import StaffRows, share_rows
from coach.screens.widgets.sheet import Sheet

GLANCE_BACK_BEATS = 0.5
"""The half or line just left stays this long before it turns, in quarter notes."""


MOST_ROWS = 7
"""Rows that a staff can use besides its own."""

TEXT_ROWS = 4
"""Rows of a line where names stand for the staff."""

NEXT = "next"
"""Stands under the line that waits."""

TWO = 2
GAP = 1
"""Blank cells between two halves."""

LEAST_AIR = 2
MOST_AIR = 8
"""Rows of the air under a line, where there is room for it."""


@dataclass(frozen=True, slots=True)
class Window:
    """One place on the screen that shows a line."""

    x: int
    """First cell."""

    y: int
    """First row."""

    width: int
    """Cells for notes, clef and key left out."""

    has_prefix: bool
    """Clef and key stand before it."""


def seen_of(lines: Sequence[StaffLine], place: float) -> tuple[int, int, int, int]:
    """Tell all that is seen of a place: where it differs, the picture does.

    Its line, how far that has come (not begun, under way, over, and whether the line
    before still stays), the cell of the place and that of what sounds there.
    """
    now = line_at(lines, place)
    line = lines[now]
    steps = (float(line.start), float(line.start) + GLANCE_BACK_BEATS, float(line.end))
    come = sum(step <= place for step in steps)
    return now, come, line.x_at(place), line.start_of_sounding(place)


def line_at(lines: Sequence[StaffLine], place: float) -> int:
    """Tell in which line a place of the page lies; the first begins with any before."""
    starts = [float(line.start) for line in lines]
    return max(0, bisect_right(starts, place) - 1)


def lines_shown(
    lines: Sequence[StaffLine], place: float, windows: int
) -> tuple[int | None, ...]:
    """Tell which line each window shows while a place is played.

    A line keeps its window; the one just left stays for a moment.
    """
    now = line_at(lines, place)
    is_fresh = now > 0 and place < float(lines[now].start) + GLANCE_BACK_BEATS
    first = now - 1 if is_fresh else now
    shown: list[int | None] = [None] * windows
    for k in range(first, first + windows):
        if k < len(lines):
            shown[k % windows] = k
        elif k - windows >= 0:
            shown[k % windows] = k - windows
    return tuple(shown)


def lines_in_order(
    lines: Sequence[StaffLine], place: float, windows: int
) -> tuple[int | None, ...]:
    """Tell which line each window shows in the order of the page, a place among them.

    The line of the place comes first, or as near to it as the last lines let it.
    """
    now = line_at(lines, place)
    first = max(0, min(now, len(lines) - windows))
    return tuple(k if k < len(lines) else None for k in range(first, first + windows))


def share_height(
    height: int, span: tuple[int, int], most: int
) -> tuple[int, StaffRows, int]:
    """Share rows between staves: how many, the rows of each, and those of its air.

    A second staff comes only where each keeps its names and its air.

    Parameters
    ----------
    height : int
        Rows that there are.
    span : tuple of int
        The lowest and the highest row that notes need.
    most : int
        Staves that there is music for.
    """
    staff = span[1] - span[0] + 1
    staves = max(1, min(most, height // (staff + MOST_ROWS + LEAST_AIR)))
    rows = share_rows(min(height // staves, staff + MOST_ROWS), span, has_plan=True)
    if not rows.has_staff:
        staves = max(1, min(most, height // TEXT_ROWS))
        rows = share_rows(height // staves, span, has_plan=True)
    spare = height // staves - rows.height
    return staves, rows, min(MOST_AIR, spare) if spare >= LEAST_AIR else 0


def place_windows(
    size: Size, prefix: int, height: int, staves: int, *, is_one: bool
) -> tuple[Window, ...]:
    """Put windows one over the other, or halves side by side; one where that is all.

    Parameters
    ----------
    size : Size
        Cells that there are.
    prefix : int
        Cells for clef and key.
    height : int
        Rows of a window.
    staves : int
        Windows one over the other.
    is_one : bool
        All the music fits into one.
    """
    room = max(NARROWEST_LINE, size.width - prefix)
    apart = size.height // staves
    top = (apart - height) // 2
    if staves > 1 or is_one:
        return tuple(
            Window(prefix, k * apart + top, room, has_prefix=True)
            for k in range(staves)
        )
    half = (room - GAP) // TWO
    return (
        Window(prefix, top, half, has_prefix=prefix > 0),
        Window(prefix + half + GAP, top, half, has_prefix=False),
    )


def draw_seam(
    sheet: Sheet,
    windows: Sequence[Window],
    rows: StaffRows,
    waiting: Sequence[float | None],
    signs: Signs,
) -> None:
    """Rule between two halves side by side, and tell which line comes next.

    Of two the notes of the one that waits step back; its breaths and positions stay as
    they are, since they are read ahead.  `waiting` says when each line begins that has
    not begun; None for the others.
    """
    left, right = windows[0], windows[-1]
    if left.y == right.y and left is not right:
        sheet.fill(right.x - 1, right.y, 1, rows.height, signs.mark, "staff--seam")
    ahead = {start: k for k, start in enumerate(waiting) if start is not None}
    if not ahead:
        return
    window = windows[ahead[min(ahead)]]
    if len(windows) == TWO:
        for row in (*rows.drawn, rows.names):
            if row is not None:
                sheet.tint(window.x, window.y + row, window.width, 1, "staff--waiting")
    if rows.pointer is not None:
        sheet.put(window.x, window.y + rows.pointer, NEXT, "staff--waiting")


def number_bar(sheet: Sheet, x: int, y: int, bar: int) -> None:
    """Write the number of a bar, unless a breath stands there."""
    number = str(bar)
    if not sheet.text(y)[x : x + len(number) + 1].strip():
        sheet.put(x, y, number, "staff--number")
