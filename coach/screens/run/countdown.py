"""Beats to the next breath, and what kind of breath it is, in letters to see from afar.

A full breath is a full tank, a top-off a tank full in its top half, and no breath for
a while is a line that goes on: three shapes, so that no colour is needed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Literal

from coach.screens.widgets.big_type import set_figures, set_letters, width_of
from coach.screens.widgets.picture import Picture, Sheet

CueKind = Literal[
    "count", "full", "catch", "hold", "in-full", "in-catch", "last", "ready", "rest"
]

FIGURE_PIXELS = 10
TWO_FIGURES = 15
MOST = 99
"""Two figures; a player needs no more to know that it is long."""
LETTER_ROWS = 3
GAP = 2
WIDE = 72
"""Cells that sign, figures and word take at twice the size."""

SHAPES: dict[str, tuple[str, ...]] = {
    "full": ("####",) * FIGURE_PIXELS,
    "in-full": ("####",) * FIGURE_PIXELS,
    "catch": ("####",) * 5 + ("#..#",) * 4 + ("####",),
    "in-catch": ("####",) * 5 + ("#..#",) * 4 + ("####",),
    "hold": ("....",) * 4 + ("####",) * 2 + ("....",) * 4,
}
"""A full tank, one whose top half is full, and a line that goes on."""


@dataclass(frozen=True, slots=True)
class Cue:
    """What the player must know now."""

    kind: CueKind
    """Count-in, full or catch breath ahead, none for a while, breathing now, none
    any more, or nothing running."""

    number: int | None
    """Beats, or the count; None for no number."""

    say: str
    """One line of words."""


WORDS: dict[str, tuple[str, ...]] = {
    "count": ("COUNT", "IN"),
    "full": ("FULL",),
    "catch": ("TOP", "OFF"),
    "hold": ("PLAY", "ON"),
    "in-full": ("BREATHE",),
    "in-catch": ("TOP", "OFF"),
    "last": ("LAST", "AIR"),
    "ready": ("READY",),
    "rest": ("REST",),
}


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

    _cue = Cue("ready", None, "")

    def show_cue(self, cue: Cue) -> None:
        """Show another cue."""
        if cue != self._cue:
            self._cue = cue
            self.redraw()

    @property
    def cue(self) -> Cue:
        """What is shown."""
        return self._cue

    def draw(self, sheet: Sheet) -> None:
        """Draw sign, figures and word side by side, and a line of words beneath."""
        cue = self._cue
        rows = sheet.height - 1
        scale = 2 if rows >= FIGURE_PIXELS and sheet.width >= WIDE else 1
        if rows < FIGURE_PIXELS // 2:
            self._draw_small(sheet)
            return
        style = f"cue--{cue.kind}"
        x = 0
        for shape in (SHAPES.get(cue.kind), _figures(cue)):
            if shape is not None:
                sheet.put_pixels(x, 0, shape, style, scale=scale)
                x += scale * width_of(shape) + GAP
        self._draw_word(sheet, x, style, scale)
        sheet.put(0, sheet.height - 1, cue.say, "cue--say")

    def _draw_word(self, sheet: Sheet, x: int, style: str, scale: int) -> None:
        """Draw the word, each part of it in a line, in the middle of the height."""
        words = WORDS[self._cue.kind]
        if self.signs.is_plain:
            spaced = "  ".join(" ".join(word) for word in words)
            sheet.put(x, (sheet.height - 1) // 2, spaced, style)
            return
        shapes = [set_letters(word) for word in words]
        if any(x + scale * width_of(shape) > sheet.width for shape in shapes):
            scale = 1
        each = LETTER_ROWS * scale
        y = max(0, (sheet.height - each * len(words)) // 2)
        for shape in shapes:
            sheet.put_pixels(x, y, shape, style, scale=scale)
            y += each

    def _draw_small(self, sheet: Sheet) -> None:
        """Draw in few rows: small figures and the words as text."""
        cue = self._cue
        style = f"cue--{cue.kind}"
        number = "" if cue.number is None else str(cue.number)
        letters = 3
        x = 0
        if sheet.height >= letters:
            shape = set_letters(number)
            sheet.put_pixels(0, 0, shape, style)
            x = width_of(shape) + 2 if shape else 0
            sheet.put(x, 0, " ".join(WORDS[cue.kind]), style)
            sheet.put(x, 1, cue.say, "cue--say")
        else:
            sheet.put(0, 0, f"{number} {' '.join(WORDS[cue.kind])}", style)


def _figures(cue: Cue) -> tuple[str, ...] | None:
    """Set the number in the middle of a place for two figures."""
    if cue.number is None:
        return None
    shape = set_figures(str(min(cue.number, MOST)))
    left, right = divmod(max(0, TWO_FIGURES - width_of(shape)), 2)
    before, after = "." * left, "." * (left + right)
    return tuple(before + row + after for row in shape)
