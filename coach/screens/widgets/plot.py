"""Plots in cells: columns over bars, a line over days or tempos."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import ClassVar

from coach.screens.widgets.picture import Picture
from coach.screens.widgets.sheet import Sheet

EIGHTHS = 8
AXIS = 6
"""Cells for the figures at the left."""

BRAILLE = 0x2800
DOTS = ((0x01, 0x08), (0x02, 0x10), (0x04, 0x20), (0x40, 0x80))
"""Bits of the eight dots of a braille cell, by row and column."""

DOT_ROWS = 4
DOT_COLUMNS = 2


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a column plot."""

    label: str
    """Under it, where there is room."""

    value: float
    """How high."""

    other: float = 0.0
    """A second kind on top of it."""


class ColumnPlot(Picture):
    """Columns of two kinds, one on top of the other."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "plot--axis",
        "plot--first",
        "plot--second",
        "plot--title",
    }

    _title = ""
    _columns: Sequence[Column] = ()

    def show_columns(self, title: str, columns: Sequence[Column]) -> None:
        """Show other columns."""
        self._title, self._columns = title, tuple(columns)
        self.redraw()

    def draw(self, sheet: Sheet) -> None:
        """Draw title, columns and labels."""
        top = _put_title(sheet, self._title)
        rows = sheet.height - 1 - top
        room = sheet.width - AXIS
        if not self._columns or rows < 1 or room < 1:
            return
        columns = bin_columns(self._columns, room)
        highest = max(1.0, *(column.value + column.other for column in columns))
        each = max(1, min(4, room // len(columns)))
        sheet.put_right(AXIS - 1, top, f"{highest:g}", "plot--axis")
        sheet.put_right(AXIS - 1, sheet.height - 2, "0", "plot--axis")
        labelled = AXIS
        for k, column in enumerate(columns):
            x = AXIS + k * each
            self._draw_column(sheet, x, max(1, each - 1), rows, column, highest)
            if x >= labelled:
                sheet.put(x, sheet.height - 1, column.label, "plot--axis")
                labelled = x + len(column.label) + 1

    def _draw_column(
        self, sheet: Sheet, x: int, wide: int, rows: int, column: Column, highest: float
    ) -> None:
        """Draw one column; the second kind is drawn with another sign."""
        blocks = sheet.signs.blocks
        both = round((column.value + column.other) / highest * rows * EIGHTHS)
        first = round(column.value / highest * rows * EIGHTHS)
        for row in range(rows):
            y = sheet.height - 2 - row
            base = row * EIGHTHS
            filled = min(EIGHTHS, max(0, first - base))
            if filled:
                sheet.fill(x, y, wide, 1, blocks[filled], "plot--first")
            elif both > base:
                sign = "/" if sheet.signs.is_plain else "░"
                sheet.fill(x, y, wide, 1, sign, "plot--second")
            elif row == 0:
                sheet.fill(x, y, wide, 1, sheet.signs.line, "plot--axis")


def bin_columns(columns: Sequence[Column], room: int) -> list[Column]:
    """Put neighbours together, as few as will do, so that all fit into some cells."""
    size = -(-len(columns) // room)
    return [
        Column(
            together[0].label,
            sum(column.value for column in together),
            sum(column.other for column in together),
        )
        for together in (columns[k : k + size] for k in range(0, len(columns), size))
    ]


def _put_title(sheet: Sheet, title: str) -> int:
    """Write a title in as many rows as it takes; give the row below it."""
    lines = wrap(title, max(1, sheet.width)) or [""]
    for row, line in enumerate(lines):
        sheet.put(0, row, line, "plot--title")
    return len(lines)


@dataclass(frozen=True, slots=True)
class _Frame:
    """Which figures and which cells a line plot reaches over."""

    left: float
    right: float
    low: float
    high: float
    top: int
    width: int
    rows: int

    def spot(self, x: float, value: float, across: int, down: int) -> tuple[int, int]:
        """Give the column and row of a point, of so many across and down."""
        span = (self.right - self.left) or 1.0
        return (
            round((x - self.left) / span * (across - 1)),
            round((self.high - value) / (self.high - self.low) * (down - 1)),
        )


class LinePlot(Picture):
    """Points joined by straight lines, and others alone, over figures to the right."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "plot--axis",
        "plot--first",
        "plot--second",
        "plot--title",
    }

    _title = ""
    _points: Sequence[tuple[float, float]] = ()
    _others: Sequence[tuple[float, float]] = ()
    _ends: tuple[str, str] = ("", "")
    _level: tuple[float, str] | None = None

    def show_points(
        self,
        title: str,
        points: Sequence[tuple[float, float]],
        ends: tuple[str, str],
        level: tuple[float, str] | None = None,
        others: Sequence[tuple[float, float]] = (),
    ) -> None:
        """Show points, words at both ends of the axis, and a level with its name.

        `others` are points that no line joins.
        """
        self._title, self._points, self._ends = title, tuple(points), ends
        self._others = tuple(others)
        self._level = level
        self.redraw()

    def draw(self, sheet: Sheet) -> None:
        """Draw title, axis, level, line and lone points."""
        top = _put_title(sheet, self._title)
        rows = sheet.height - 1 - top
        everything = [*self._points, *self._others]
        if not everything or rows < 1:
            return
        values = [value for _, value in everything]
        if self._level is not None:
            values.append(self._level[0])
        low, high = min(values), max(values)
        if high == low:
            low, high = low - 1, high + 1
        sheet.put_right(AXIS - 1, top, f"{high:.0f}", "plot--axis")
        sheet.put_right(AXIS - 1, sheet.height - 2, f"{low:.0f}", "plot--axis")
        width = sheet.width - AXIS
        level_row = top
        if self._level is not None:
            level_row += round((high - self._level[0]) / (high - low) * (rows - 1))
            sheet.fill(AXIS, level_row, width, 1, sheet.signs.rule, "plot--axis")
        frame = _Frame(
            left=min(x for x, _ in everything),
            right=max(x for x, _ in everything),
            low=low,
            high=high,
            top=top,
            width=width,
            rows=rows,
        )
        if self._points:
            self._draw_line(sheet, frame)
        sign = "x" if sheet.signs.is_plain else "×"
        for x, value in self._others:
            across, down = frame.spot(x, value, width, rows)
            sheet.put(AXIS + across, top + down, sign, "plot--second")
        if self._level is not None:
            sheet.put_right(
                sheet.width, level_row, f" {self._level[1]}", "plot--second"
            )
        sheet.put(AXIS, sheet.height - 1, self._ends[0], "plot--axis")
        sheet.put_right(sheet.width, sheet.height - 1, self._ends[1], "plot--axis")

    def _draw_line(self, sheet: Sheet, frame: _Frame) -> None:
        """Draw the line in braille dots, or in stars where there are none."""
        plain = sheet.signs.is_plain
        across = frame.width if plain else frame.width * DOT_COLUMNS
        down = frame.rows if plain else frame.rows * DOT_ROWS
        dots: set[tuple[int, int]] = set()
        spots = [frame.spot(x, value, across, down) for x, value in self._points]
        for here, there in zip(spots, spots[1:] or spots, strict=False):
            dots |= _joined(here, there)
        if plain:
            for x, y in dots:
                sheet.put(AXIS + x, frame.top + y, "*", "plot--first")
            return
        cells: dict[tuple[int, int], int] = {}
        for x, y in dots:
            cell = (x // DOT_COLUMNS, y // DOT_ROWS)
            bit = DOTS[y % DOT_ROWS][x % DOT_COLUMNS]
            cells[cell] = cells.get(cell, 0) | bit
        for (x, y), bits in cells.items():
            sheet.put(AXIS + x, frame.top + y, chr(BRAILLE + bits), "plot--first")


def _joined(here: tuple[int, int], there: tuple[int, int]) -> set[tuple[int, int]]:
    """Give the dots of a straight line between two dots."""
    steps = max(abs(there[0] - here[0]), abs(there[1] - here[1]), 1)
    return {
        (
            round(here[0] + (there[0] - here[0]) * k / steps),
            round(here[1] + (there[1] - here[1]) * k / steps),
        )
        for k in range(steps + 1)
    }
