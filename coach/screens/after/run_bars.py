"""One picture over the bars of a run: its marks, and the air under them.

Every row shares one axis, the page's own time, so that a mark stands over the air of
its beat: as it was planned, and as it was played if the player breathed elsewhere.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import ClassVar

from coach.planning.plan import Plan
from coach.rehearsal.run.gauge import Gauge
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.run import Run
from coach.score.tempo import Beats, Seconds
from coach.screens.after.last_runs import say_bar
from coach.screens.staff.air_curve import COMPONENTS, draw_column
from coach.screens.staff.mark_signs import mark_sign
from coach.screens.widgets.picture import Picture
from coach.screens.widgets.sheet import Sheet

AXIS = 9
"""Cells for the names of the rows at the left."""

ABOVE = 2
"""Rows over the air: bar numbers and marks."""

BELOW = 1
"""Rows under the air: the place that is looked at."""

LEAST_AIR = 2
"""Rows that the air keeps to itself."""

HALVES = 2
"""The half line lies under the upper half of the rows; two curves share them."""

A_HAIR = 1e-6
"""By this share of a cell rounding may miss it."""


class RunBars(Picture):
    """Bars, marks and air of one run, and the place that is looked at."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        *COMPONENTS,
        "bars--number",
        "bars--name",
        "bars--mark",
        "bars--proposed",
        "bars--place",
        "bars--last",
    }

    _planned: Plan | None = None
    _played: Gauge | None = None
    _ended = Seconds(0.0)
    _marks: tuple[Mark, ...] = ()
    _proposed: tuple[Mark, ...] = ()
    _last: tuple[Run, ...] = ()
    _place: tuple[Seconds, str] = (Seconds(0.0), "")

    def show_run(self, planned: Plan, played: Gauge, ended: Seconds) -> None:
        """Show the air of a run up to its end, as planned and as played."""
        self._planned, self._played, self._ended = planned, played, ended
        self.redraw()

    def show_marks(
        self, marks: tuple[Mark, ...], proposed: tuple[Mark, ...] = ()
    ) -> None:
        """Show its marks, and apart those that are only proposed."""
        self._marks, self._proposed = marks, proposed
        self.redraw()

    def show_last(self, runs: tuple[Run, ...]) -> None:
        """Show how the runs before it went, oldest first."""
        self._last = runs
        self.redraw()

    def show_place(self, place: Seconds, place_words: str) -> None:
        """Show which place is looked at."""
        self._place = (place, place_words)
        self.redraw()

    def draw(self, sheet: Sheet) -> None:
        """Draw numbers, marks, air and place, each where its beat stands."""
        planned, played = self._planned, self._played
        if planned is None or played is None or sheet.width <= AXIS:
            return
        self._draw_numbers(sheet, planned)
        self._draw_marks(sheet, planned)
        rows = sheet.height - ABOVE - BELOW
        if self._last and rows > LEAST_AIR:
            rows -= 1
            self._draw_last(sheet, planned, sheet.height - BELOW - 1)
        if _air_taken(planned) == _air_taken(played.plan):
            self._draw_air(sheet, (ABOVE, rows), planned, "air")
        elif rows > 1:
            half = rows // HALVES
            self._draw_air(sheet, (ABOVE, half), planned, "planned")
            below = (ABOVE + half, rows - half)
            self._draw_air(sheet, below, played.plan, "played")
        at, words = self._place
        x = self._x(sheet, planned, at)
        sign = self.signs.cursor
        if x + len(words) + 2 <= sheet.width:
            sheet.put(x, sheet.height - 1, f"{sign} {words}", "bars--place")
        else:
            sheet.put_right(x + 1, sheet.height - 1, f"{words} {sign}", "bars--place")

    def _x(self, sheet: Sheet, plan: Plan, at: Seconds) -> int:
        """Give the cell of a run time."""
        start, end = float(plan.part.start), float(plan.part.end)
        share = (plan.tempo_map.beats_at(at) - start) / (end - start)
        room = sheet.width - AXIS
        return AXIS + min(room - 1, max(0, int(share * room + A_HAIR)))

    def _draw_numbers(self, sheet: Sheet, plan: Plan) -> None:
        """Write the number of each bar, or of each second, fourth and so on."""
        sheet.put(0, 0, "bar", "bars--name")
        numbers = [
            (
                self._x(sheet, plan, plan.tempo_map.seconds_at(bar.onset)),
                str(bar.number),
            )
            for bar in plan.part.bars
        ]
        while any(x + len(words) >= to for (x, words), (to, _) in pairwise(numbers)):
            numbers = numbers[::2]
        for x, words in numbers:
            if x + len(words) <= sheet.width:
                sheet.put(x, 0, words, "bars--number")

    def _draw_marks(self, sheet: Sheet, plan: Plan) -> None:
        """Set a flag on each mark, with its words where there is room.

        Marks whose beats share a cell stand side by side.  Words of one that is only
        proposed end with a question mark.
        """
        marks = sorted((*self._marks, *self._proposed), key=lambda mark: mark.at)
        xs = [self._x(sheet, plan, mark.at) for mark in marks]
        for k in range(1, len(xs)):
            xs[k] = max(xs[k], xs[k - 1] + 1)
        for k, (mark, x) in enumerate(zip(marks, xs, strict=True)):
            is_kept = mark in self._marks
            style = "bars--mark" if is_kept else "bars--proposed"
            sheet.put(x, 1, mark_sign(self.signs, mark.kind), style)
            right = xs[k + 1] if k + 1 < len(xs) else sheet.width
            words = mark.kind.words + ("" if is_kept else "?")
            if x + len(words) + 2 < right:
                sheet.put(x + 2, 1, words, style)

    def _draw_last(self, sheet: Sheet, plan: Plan, y: int) -> None:
        """Write under each bar how the runs before went in it."""
        sheet.put(0, y, f"last {len(self._last)}", "bars--name")
        bars = plan.part.bars
        xs = [
            self._x(sheet, plan, plan.tempo_map.seconds_at(bar.onset)) for bar in bars
        ]
        for bar, x, after in zip(bars, xs, (*xs[1:], sheet.width), strict=True):
            words = say_bar(self._last, bar.number, after - x, self.signs)
            sheet.put(x, y, words, "bars--last")

    def _draw_air(
        self, sheet: Sheet, at: tuple[int, int], plan: Plan, name: str
    ) -> None:
        """Draw the air of a plan up to the run's end over the half line."""
        y, rows = at
        sheet.put(0, y, name, "bars--name")
        if rows > HALVES:
            sheet.put_right(AXIS - 1, y + (rows - 1) // HALVES, "half", "bars--name")
        room = sheet.width - AXIS
        start, length = plan.part.start, plan.part.end - plan.part.start
        empty = self._played.empty_air if self._played else 0.0
        for k in range(room):
            place = Beats(start + length * Fraction(k, room))
            time = plan.tempo_map.seconds_at(place)
            if time <= self._ended:
                level = plan.air.level_at(time)
                draw_column(sheet, AXIS + k, (y, rows), level, empty)


def _air_taken(plan: Plan) -> list[tuple[int, Seconds, float]]:
    """Tell where a plan breathes, from when on, and up to what level."""
    return [
        (breath.after_note, breath.start, breath.air_after)
        for breath in plan.breaths.breaths
    ]
