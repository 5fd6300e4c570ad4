"""What to do and when, in letters to see from a chair's distance: how many beats, what.

The number stands first and only where something is to be done within a few beats.
Behind the words stands the kind of breath as a shape: a full tank, or a tank filled in
its top half.  In front of the number stands nothing that could be read as a figure.
While it is time to breathe there is no number, and the whole place is lit up instead.
"""

from __future__ import annotations

from dataclasses import dataclass
from textwrap import wrap
from typing import ClassVar, Literal

from coach.screens.run.cue_letters import (
    SCALES,
    CueRoom,
    set_short,
    set_two_lines,
    set_whole,
)
from coach.screens.widgets.big_type import (
    FIGURE_PIXELS,
    Shape,
    set_figures,
    set_letters,
    set_plain_figures,
    set_plain_letters,
    width_of,
)
from coach.screens.widgets.picture import Picture
from coach.screens.widgets.sheet import Sheet

CueKind = Literal[
    "count", "full", "catch", "hold", "in-full", "in-catch", "last", "ready", "rest"
]

MOST = 99
"""Two figures; a player needs no more to know that it is long."""
SMALL_ROWS = 5
"""With fewer rows there is no room for figures."""
LETTER_PIXELS = 5
SMALL_LETTER_ROWS = 3
GAP = 2
PLAIN_GAP = 4
"""Figures are no larger than letters there: what stands apart is read apart."""

FULL_TANK: Shape = ("####",) * LETTER_PIXELS
HALF_TANK: Shape = ("####",) * 3 + ("#..#", "####")
TANKS = {
    "full": FULL_TANK,
    "in-full": FULL_TANK,
    "catch": HALF_TANK,
    "in-catch": HALF_TANK,
}
"""Kinds of breath as shapes, as high as letters."""

NOW = ("in-full", "in-catch")
"""It is time to breathe."""


@dataclass(frozen=True, slots=True)
class Cue:
    """What the player must know now."""

    kind: CueKind
    """Count-in, full or catch breath ahead, none for a while, breathing now, none
    any more, or nothing running."""

    number: int | None
    """Beats, seconds, or the count; None for no number."""

    words: tuple[str, ...]
    """What to do, in one or two short lines."""

    say: str
    """The same and more in one line of words."""


class Countdown(Picture):
    """The cue, as big as the room allows."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "cue--count",
        "cue--full",
        "cue--catch",
        "cue--hold",
        "cue--in-full",
        "cue--in-catch",
        "cue--last",
        "cue--ready",
        "cue--rest",
        "cue--say",
    }

    _cue = Cue("ready", None, ("READY",), "")

    def show_cue(self, cue: Cue) -> None:
        """Show another cue."""
        if cue != self._cue:
            self._cue = cue
            self.redraw()

    @property
    def cue(self) -> Cue:
        """What is shown."""
        return self._cue

    @property
    def _style_name(self) -> str:
        return f"cue--{self._cue.kind}"

    def draw(self, sheet: Sheet) -> None:
        """Draw figures and words side by side, and a line of words with them."""
        draw_large = self._draw_plain if self.signs.is_plain else self._draw_big
        rows = sheet.height - 1
        if rows < SMALL_ROWS or not draw_large(sheet, rows):
            self._draw_small(sheet)
        if self._cue.kind in NOW:
            sheet.tint(0, 0, sheet.width, sheet.height, self._style_name)

    @property
    def _number(self) -> str:
        """The number as it is drawn; empty for none."""
        return "" if self._cue.number is None else str(min(self._cue.number, MOST))

    def _draw_big(self, sheet: Sheet, rows: int) -> bool:
        """Draw figures as high as the rows, the words beside them, then the tank.

        Tells whether there was room for the words; else nothing is drawn.
        """
        figures = set_figures(self._number)
        scale = max(1, min(SCALES[0], 2 * rows // FIGURE_PIXELS))
        # At the edge of what is lit up a B would be read as a 3.
        before = 1 if self._cue.kind in NOW else 0
        x = scale * (width_of(figures) + GAP) if figures else before
        words, tank = self._cue.words, TANKS.get(self._cue.kind)
        room = CueRoom(sheet.width - x, 2 * rows, set_letters, tank)
        block = set_whole(words, room)
        if block is not None or not self._draw_over_say(sheet, x, tank):
            block = block or set_short(words, room)
            if block is None:
                return False
            y = max(0, 2 * rows - len(block)) // 4
            sheet.put_pixels(x, y, block, self._style_name)
            sheet.put(0, rows, self._cue.say, "cue--say")
        sheet.put_pixels(0, 0, figures, self._style_name, scale=scale)
        return True

    def _draw_over_say(self, sheet: Sheet, x: int, tank: Shape | None) -> bool:
        """Draw two lines over all rows, what is said behind the second; if it fits.

        Rather that than half of what is to be done.
        """
        room = CueRoom(sheet.width - x, 2 * sheet.height, set_letters, tank)
        block = set_two_lines(self._cue.words, room)
        if block is None:
            return False
        behind = x + width_of(room.set_last(self._cue.words[-1])) + GAP
        left = sheet.width - behind - 1  # what stands at the right is not read with it
        said = wrap(self._cue.say, max(1, left))
        if len(said) > SMALL_LETTER_ROWS or any(len(line) > left for line in said):
            return False
        sheet.put_pixels(x, 0, block, self._style_name)
        for k, line in enumerate(said):
            y = sheet.height - SMALL_LETTER_ROWS + k
            sheet.put(behind, y, line, "cue--say")
        return True

    def _draw_plain(self, sheet: Sheet, rows: int) -> bool:
        """Draw figures and words of whole signs; tell whether there was room."""
        figures = set_plain_figures(self._number)
        scale = max(1, min(SCALES[0], rows // SMALL_ROWS))
        x = scale * width_of(figures) + PLAIN_GAP if figures else 0
        room = CueRoom(sheet.width - x, rows, set_plain_letters)
        block = set_whole(self._cue.words, room) or set_short(self._cue.words, room)
        if block is None:
            return False
        sheet.put_shape(0, 0, figures, self._style_name, scale=scale)
        sheet.put_shape(x, (rows - len(block)) // 2, block, self._style_name)
        sheet.put(0, rows, self._cue.say, "cue--say")
        return True

    def _draw_small(self, sheet: Sheet) -> None:
        """Draw in few rows: small figures and the words as text."""
        cue = self._cue
        number = "" if cue.number is None else str(cue.number)
        words = " ".join(cue.words)
        if sheet.height < SMALL_LETTER_ROWS or self.signs.is_plain:
            sheet.put(0, 0, f"{number} {words}".lstrip(), self._style_name)
            self._draw_say(sheet, 0)
            return
        shape = set_letters(number)
        sheet.put_pixels(0, 0, shape, self._style_name)
        x = width_of(shape) + GAP if shape else 0
        sheet.put(x, 0, words, self._style_name)
        self._draw_say(sheet, x)

    def _draw_say(self, sheet: Sheet, x: int) -> None:
        """Write the line of words under the rest, in as many rows as there are."""
        for k, line in enumerate(wrap(self._cue.say, max(1, sheet.width - x - 1))):
            sheet.put(x, 1 + k, line, "cue--say")
