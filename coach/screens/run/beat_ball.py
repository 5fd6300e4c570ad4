"""The beat as a ball that falls from pad to pad: motion and shape, no colour needed."""

from __future__ import annotations

from typing import ClassVar

from coach.screens.widgets.picture import Picture
from coach.screens.widgets.sheet import Sheet

LANDED = 0.25
"""A pad stays lit for this share of its beat."""

BALL = ("####", "####")
"""Four cells wide and one high, in pixels."""


class BeatBall(Picture):
    """One pad a beat, and a ball that lands on each in time."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "beat--ball",
        "beat--pad",
        "beat--lit",
    }

    _felt_beats = 4
    _felt_beat = 0
    _phase = 0.0

    def show_beat(self, felt_beat: int, felt_beats: int, phase: float) -> None:
        """Show where the beat is: which of how many, and how far it has gone."""
        self._felt_beat, self._phase = felt_beat, phase
        self._felt_beats = max(1, felt_beats)
        self.redraw()

    def draw(self, sheet: Sheet) -> None:
        """Draw the pads and, while the beat runs, the ball over them."""
        floor = sheet.height - 1
        apart = sheet.width / self._felt_beats
        wide = max(2, min(8, int(apart) - 1))
        centres = [apart * (k + 0.5) for k in range(self._felt_beats)]
        for k, centre in enumerate(centres):
            is_lit = k + 1 == self._felt_beat and self._phase < LANDED
            self._draw_pad(sheet, int(centre - wide / 2), floor, wide, k, lit=is_lit)
        if self._felt_beat:
            self._draw_ball(sheet, centres, floor)

    def _draw_pad(
        self, sheet: Sheet, x: int, y: int, wide: int, k: int, *, lit: bool
    ) -> None:
        """Draw a pad; the first of the bar is thicker, the one struck is full."""
        signs = self.signs
        if lit:
            sheet.fill(x, y, wide, 1, signs.blocks[-1], "beat--lit")
        else:
            sign = signs.lower_half if k == 0 else signs.blocks[2]
            if signs.is_plain:
                sign = "=" if k == 0 else "_"
            sheet.fill(x, y, wide, 1, sign, "beat--pad")

    def _draw_ball(self, sheet: Sheet, centres: list[float], floor: int) -> None:
        """Draw the ball on its way from this pad to the next."""
        here = centres[self._felt_beat - 1]
        there = centres[self._felt_beat % len(centres)]
        if len(centres) == 1:
            there = here
        phase = min(1.0, max(0.0, self._phase))
        x = here + (there - here) * phase
        pixels = 2 * floor - len(BALL)
        height = 4 * phase * (1 - phase) * pixels
        top = round(pixels - height)
        rows = [""] * top + list(BALL)
        sheet.put_pixels(round(x) - len(BALL[0]) // 2, 0, rows, "beat--ball")
