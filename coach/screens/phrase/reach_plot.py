"""The least air at each tempo, as columns over the half line, with the goal."""

from __future__ import annotations

from typing import ClassVar

from coach.planning.reach import Reach
from coach.screens.staff.air_curve import COMPONENTS, draw_column
from coach.screens.widgets.picture import Picture
from coach.screens.widgets.sheet import Sheet

AXIS = 8
"""Cells for the names of the rows at the left."""

ABOVE = 1
"""Row of how many breaths each tempo takes."""

BELOW = 2
"""Rows of the tempos and of the goal."""

HALVES = 2
"""The half line lies under the upper half of the rows."""

WIDEST = 8
"""Most cells of a column, the one between it and the next taken in."""


class ReachPlot(Picture):
    """A column a tempo: the same signs and colours as the air of a run."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        *COMPONENTS,
        "reach--name",
        "reach--tempo",
        "reach--goal",
    }

    _reach: Reach | None = None

    def show_reach(self, reach: Reach) -> None:
        """Show what was planned at each tempo."""
        self._reach = reach
        self.redraw()

    def draw(self, sheet: Sheet) -> None:
        """Draw breaths, air, tempos and the goal; as many as there is room for."""
        reach, rows = self._reach, sheet.height - ABOVE - BELOW
        if reach is None or rows < HALVES:
            return
        room = sheet.width - AXIS
        each = max(1, min(WIDEST, room // len(reach.points)))
        self._draw_names(sheet, rows)
        free = AXIS
        for k, point in enumerate(reach.points):
            x = AXIS + k * each
            level = point.lowest_air if point.works else 0.0
            for cell in range(max(1, each - 1)):
                draw_column(sheet, x + cell, (ABOVE, rows), level, reach.empty_air)
            if not point.works:
                sheet.put(x, ABOVE + rows - 1, "dry"[: max(1, each - 1)], "air--floor")
            is_goal = point.bpm == reach.goal_bpm
            tempo = f"{point.bpm:.0f}"
            if x >= free:
                sheet.put(x, 0, str(point.breaths), "reach--tempo")
                style = "reach--goal" if is_goal else "reach--tempo"
                sheet.put(x, ABOVE + rows, tempo, style)
                free = x + len(tempo) + 1
            if is_goal:
                words = f"{sheet.signs.cursor} goal {tempo}"
                sheet.put(x, sheet.height - 1, words, "reach--goal")

    def _draw_names(self, sheet: Sheet, rows: int) -> None:
        half = ABOVE + (rows - 1) // HALVES
        for y, name in ((0, "breaths"), (half, "half"), (ABOVE + rows, "tempo")):
            sheet.put_right(AXIS - 1, y, name, "reach--name")
