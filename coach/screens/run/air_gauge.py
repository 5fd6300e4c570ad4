"""The air in hand, over the full width: half mark, next breath, seconds left.

What will be spent before the next breath stands lower than what will be left then,
so that the step in the bar shows where the plan lands.  Both are equally bright: else
the brighter one would be taken for all the air there is.
"""

from __future__ import annotations

from typing import ClassVar

from coach.screens.signs import FULL, Signs
from coach.screens.widgets.big_type import set_letters, width_of
from coach.screens.widgets.picture import Picture
from coach.screens.widgets.sheet import Sheet

EIGHTHS = 8
HALF_FULL = 0.5
PERCENT = 100
NEARLY = 0.1
"""Nearly dry begins this far above what can no longer be blown."""
LETTER_ROWS = 3
HALF_WIDTH = 3
"""Cells kept free on both sides of the half mark."""


class AirGauge(Picture):
    """How much air there is, and how long it lasts."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "gauge--top-half",
        "gauge--low",
        "gauge--floor",
        "gauge--band-top-half",
        "gauge--band-low",
        "gauge--band-floor",
        "gauge--track",
        "gauge--half",
        "gauge--now",
        "gauge--scale",
        "gauge--seconds",
        "gauge--hidden",
    }

    def __init__(
        self,
        signs: Signs = FULL,
        *,
        empty: float,
        id: str | None = None,
    ) -> None:
        super().__init__(signs, id=id)
        self._empty = empty
        self._air = 1.0
        self._planned: float | None = None
        self._seconds: float | None = None
        self._band: tuple[float, float] | None = None
        self._is_hidden = False
        self._seen: tuple[object, ...] = ()

    def show_air(
        self,
        air: float,
        planned: float | None,
        seconds: float | None,
        band: tuple[float, float] | None = None,
    ) -> None:
        """Show air now and at the next breath, as fractions, and seconds left.

        `band` is the least and the most that it may be, where that is known.  A plan
        rounds its levels, so a narrow band is widened to the level that is shown.
        """
        self._air, self._planned, self._seconds = air, planned, seconds
        self._band = band and (min(band[0], air), max(band[1], air))
        width = self.content_size.width
        seen = (
            round(air * width * EIGHTHS),
            None if planned is None else round(planned * width),
            None if seconds is None else round(seconds * 2),
            self._band and tuple(round(end * width) for end in self._band),
            self._is_hidden,
        )
        if seen != self._seen:
            self._seen = seen
            self.redraw()

    def hide_level(self, *, is_hidden: bool) -> None:
        """Hide the level, for a player who wants to feel it."""
        self._is_hidden = is_hidden
        self._seen = ()
        self.redraw()

    @property
    def zone(self) -> str:
        """Name where the level stands, by the percent that is shown.

        One of top-half, low or floor.
        """
        if round(self._air * PERCENT) >= HALF_FULL * PERCENT:
            return "top-half"
        return "low" if self._air > self._empty + NEARLY else "floor"

    def draw(self, sheet: Sheet) -> None:
        """Draw the bar, its marks, and a row of words under it."""
        scale_row = sheet.height - 1 if sheet.height > 1 else None
        bar_rows = scale_row if scale_row is not None else 1
        if self._is_hidden:
            sheet.fill(0, 0, sheet.width, bar_rows, self.signs.rule, "gauge--hidden")
            sheet.put_centred(
                0,
                sheet.width,
                bar_rows // 2,
                " gauge hidden: feel it ",
                "gauge--hidden",
            )
            return
        bar_width = self._draw_seconds(sheet, bar_rows)
        self._draw_bar(sheet, bar_width, bar_rows)
        if scale_row is not None:
            self._draw_scale(sheet, bar_width, scale_row)

    def _draw_seconds(self, sheet: Sheet, rows: int) -> int:
        """Draw the seconds left beside the bar; give the cells left for the bar."""
        if self._seconds is None:
            return sheet.width
        whole = f"{max(0.0, self._seconds):.0f}"
        if rows < LETTER_ROWS or self.signs.is_plain:
            text = f" {whole} s left"
            room = len(" 99 s left")
            sheet.put_right(sheet.width, rows - 1, text, "gauge--seconds")
            return sheet.width - room
        shape = set_letters(whole)  # an S behind it would be read as a 5
        room = 16
        top = (rows - LETTER_ROWS) // 2
        x = sheet.width - width_of(shape)
        sheet.put_pixels(x, top, shape, "gauge--seconds")
        sheet.put_right(sheet.width, rows, "s left", "gauge--seconds")
        return sheet.width - room

    def _draw_bar(self, sheet: Sheet, width: int, rows: int) -> None:
        """Draw the bar: what stays, what will be spent, the rest of the track."""
        signs, style = self.signs, f"gauge--{self.zone}"
        eighths = max(0, round(self._air * width * EIGHTHS))
        full, part = divmod(min(eighths, width * EIGHTHS), EIGHTHS)
        sheet.fill(0, 0, width, rows, " ", "gauge--track")
        kept = full if self._planned is None else round(self._planned * width)
        kept = max(0, min(kept, full))
        sheet.fill(0, 0, full, rows, signs.blocks[-1], style)
        if signs.is_plain:
            sheet.fill(kept, 0, full - kept, rows, "=", style)
        else:
            sheet.fill(kept, 0, full - kept, 1, signs.lower_half, style)
        if part and full < width:
            sheet.fill(full, 1, 1, rows - 1, signs.bars[part], style)
        self._draw_band(sheet, width, rows)
        self._draw_half_mark(sheet, width, rows)

    def _draw_band(self, sheet: Sheet, width: int, rows: int) -> None:
        """Draw between what the level may lie, in the bar's last row."""
        if self._band is None or rows == 1:
            return
        least, most = (round(min(1.0, max(0.0, end)) * width) for end in self._band)
        sheet.fill(
            least,
            rows - 1,
            most - least,
            1,
            self.signs.shade,
            f"gauge--band-{self.zone}",
        )

    def _draw_half_mark(self, sheet: Sheet, width: int, rows: int) -> None:
        for y in range(rows):
            sheet.put(width // 2, y, self.signs.mark, "gauge--half")

    def _say_level(self) -> str:
        """Say the level in percent, and between what it may lie."""
        level = f"{max(0.0, self._air) * PERCENT:.0f}"
        if self._band is None:
            return level
        least, most = (min(1.0, max(0.0, end)) * PERCENT for end in self._band)
        is_sure = round(least) == round(most)
        return level if is_sure else f"{level} ({least:.0f}–{most:.0f})"

    def _draw_scale(self, sheet: Sheet, width: int, y: int) -> None:
        """Write under the bar what its places mean."""
        words = {
            "top-half": "top half",
            "low": "below half",
            "floor": "nearly dry" if self._air > self._empty else "dry",
        }[self.zone]
        bullet, arrow = self.signs.bullet, self.signs.arrow
        now = f"air {self._say_level()} % {bullet} {words}"
        sheet.put(0, y, now, "gauge--now")
        left, right = width // 2 - HALF_WIDTH, width // 2 + HALF_WIDTH
        if len(now) + 1 < left:
            sheet.put_centred(left, right, y, "half", "gauge--half")
        if self._planned is not None:
            then = f"at the breath {arrow} {self._planned * PERCENT:.0f} %"
            if width - len(then) > max(len(now) + 2, right):
                sheet.put_right(width, y, then, "gauge--scale")
