"""The air along a line of the staff, drawn in blocks under the notes it goes to."""

from __future__ import annotations

from bisect import bisect_right

from coach.planning.plan import Plan
from coach.score.tempo import Seconds
from coach.screens.staff.staff_lines import StaffLine
from coach.screens.widgets.sheet import Sheet

EIGHTHS = 8
HALF_FULL = 0.5
COMPONENTS = {"air--top-half", "air--low", "air--floor", "air--track", "air--half"}


def draw_air(
    sheet: Sheet,
    at: tuple[int, int, int],
    line: StaffLine,
    plan: Plan,
    empty: float,
) -> None:
    """Draw the curve of a line at a first cell, a first row, and so many rows."""
    x, y, rows = at
    for k, level in enumerate(levels_of_cells(line, plan)):
        draw_column(sheet, x + k, (y, rows), level, empty)


def levels_of_cells(line: StaffLine, plan: Plan) -> list[float]:
    """Give the level of the air at each cell of a line."""
    sounding = [placed for placed in line.places if placed.slot.kind != "bar"]
    heads = [placed.head for placed in sounding]
    spans = [
        (
            plan.tempo_map.seconds_at(placed.slot.at),
            plan.tempo_map.seconds_at(placed.slot.end),
        )
        for placed in sounding
    ]
    levels = []
    for x in range(line.width):
        k = max(0, bisect_right(heads, x) - 1)
        right = heads[k + 1] if k + 1 < len(heads) else line.width
        share = min(1.0, max(0.0, (x - heads[k]) / max(1, right - heads[k])))
        start, end = spans[k]
        levels.append(plan.air.level_at(Seconds(start + share * (end - start))))
    return levels


def draw_column(
    sheet: Sheet, x: int, at: tuple[int, int], level: float, empty: float
) -> None:
    """Draw one cell's level as a column of blocks over the half line."""
    y, rows = at
    signs = sheet.signs
    if level > HALF_FULL:
        style = "air--top-half"
    else:
        style = "air--low" if level > empty else "air--floor"
    eighths = max(0, round(min(1.0, level) * rows * EIGHTHS))
    for row in range(rows):
        filled = min(EIGHTHS, max(0, eighths - (rows - 1 - row) * EIGHTHS))
        if filled:
            sheet.put(x, y + row, signs.blocks[filled], style)
        elif row == (rows - 1) // 2 and rows > 1:
            sheet.put(x, y + row, signs.line, "air--half")
        else:
            sheet.put(x, y + row, " ", "air--track")
