"""Beats to the next breath, and what kind of breath it is, in letters to see from afar.

A full breath is a filled card, a top-off a card filled in its top half, and no breath
for a while is bare figures: three shapes, so that no colour is needed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Literal

from coach.screens.widgets.big_type import set_figures, set_letters, width_of
from coach.screens.widgets.picture import Picture, Sheet

CueKind = Literal["count", "full", "catch", "hold", "in", "last", "ready", "rest"]

FIGURE_PIXELS = 10
MARGIN = 2
"""Pixels of the card around the figures, left and right."""


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
    "in": ("IN",),
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
        "cue--in",
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
        """Draw figures on their card, the word beside them, words beneath."""
        cue = self._cue
        rows = sheet.height - 1
        scale = 2 if rows >= FIGURE_PIXELS and sheet.width >= 70 else 1  # noqa: PLR2004 - cells that two big figures and a word take
        if rows < FIGURE_PIXELS // 2:
            self._draw_small(sheet)
            return
        style = f"cue--{cue.kind}"
        card = card_of(cue)
        x = 0
        if card:
            sheet.put_pixels(x, 0, card, style, scale=scale)
            x += scale * width_of(card) + 2
        words = WORDS[cue.kind]
        pixels = 6
        y = max(0, (rows - len(words) * pixels * scale // 2) // 2)
        for word in words:
            shape = set_letters(word)
            fits = x + scale * width_of(shape) <= sheet.width
            sheet.put_pixels(x, y, shape, style, scale=scale if fits else 1)
            y += pixels * scale // 2
        sheet.put(0, sheet.height - 1, cue.say, "cue--say")

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


def card_of(cue: Cue) -> tuple[str, ...]:
    """Draw the number on the card that its kind of breath has."""
    figures = ("",) if cue.number is None else set_figures(f"{cue.number:>2}"[-2:])
    if cue.number is None:
        figures = ("." * 15,) * FIGURE_PIXELS
    bare = ["." * MARGIN + row.replace(" ", ".") + "." * MARGIN for row in figures]
    if cue.kind in ("full", "in"):
        filled = range(FIGURE_PIXELS)
    elif cue.kind == "catch":
        filled = range(FIGURE_PIXELS // 2)
    else:
        filled = range(0)
    return tuple(_turned(row) if k in filled else row for k, row in enumerate(bare))


def _turned(row: str) -> str:
    """Turn filled pixels into empty ones and the other way round."""
    return row.translate(str.maketrans("#.", ".#"))
