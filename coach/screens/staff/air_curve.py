"""The air along a line of the staff, drawn in blocks under the notes it goes to."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from itertools import groupby

from coach.planning.plan import Plan
from coach.score.tempo import Seconds
from coach.screens.staff.staff_lines import StaffLine
from coach.screens.widgets.sheet import Sheet

EIGHTHS = 8
HALF_FULL = 0.5
HALF = "air--half"
COMPONENTS = {"air--top-half", "air--low", "air--floor", "air--track", HALF}


def draw_air(
    sheet: Sheet,
    at: tuple[int, int, int],
    line: StaffLine,
    plan: Plan,
    empty: float,
) -> None:
    """Draw the curve of a line at a first cell, a first row, and so many rows."""
    x, y, rows = at
    draw_columns(sheet, x, (y, rows), levels_of_cells(line, plan), empty)


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
    draw_columns(sheet, x, at, [level], empty)


def draw_columns(
    sheet: Sheet, x: int, at: tuple[int, int], levels: Sequence[float], empty: float
) -> None:
    """Draw the levels of cells side by side, from a first cell on.

    Row by row: cells that look alike are written at once.
    """
    y, rows = at
    full = rows * EIGHTHS
    heights = [max(0, round(min(1.0, level) * full)) for level in levels]
    styles = [_style_of(level, empty) for level in levels]
    for row in range(rows):
        below = full - (row + 1) * EIGHTHS
        cells = [
            (style, min(EIGHTHS, height - below))
            if height > below
            else _free(row, rows)
            for style, height in zip(styles, heights, strict=True)
        ]
        first = x
        for (style, filled), run in groupby(cells):
            width = sum(1 for _ in run)
            sign = sheet.signs.line if style == HALF else sheet.signs.blocks[filled]
            sheet.put(first, y + row, sign * width, style)
            first += width


def _style_of(level: float, empty: float) -> str:
    """Name the style of a level."""
    if level > HALF_FULL:
        return "air--top-half"
    return "air--low" if level > empty else "air--floor"


def _free(row: int, rows: int) -> tuple[str, int]:
    """Give style and filling of a cell above the level: the half line, or nothing."""
    return (HALF if row == (rows - 1) // 2 and rows > 1 else "air--track", 0)
