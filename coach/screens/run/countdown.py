"""What to do and when, in letters to see from a chair's distance: how many beats, what.

The number stands first and only where something is to be done within a few beats.
Behind the words stands the kind of breath as a shape: a full tank, or a tank filled in
its top half.  In front of the number stands nothing that could be read as a figure.
While it is time to breathe there is no number, and the whole place is lit up instead.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from textwrap import wrap
from typing import ClassVar, Literal

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

SCALES = (3, 2, 1)
TWO_SCALES = sorted(product(SCALES, SCALES), key=lambda pair: (-min(pair), -pair[0]))
"""Of the last line and the first: rather both large than one larger."""

SHORTER = (
    {"BREATHE FULL": "FILL UP"},
    {"BREATHE FULL": "FILL UP", "INTO BAR": "TO"},
)
"""How it is said shorter, less and more; a bar number alone, without its "to", would be
read as that of the bar that sounds, and "full" alone as how it is, not what to do."""

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
        rows = sheet.height - 1
        if rows < SMALL_ROWS:
            self._draw_small(sheet)
        elif self.signs.is_plain:
            self._draw_plain(sheet, rows)
            sheet.put(0, rows, self._cue.say, "cue--say")
        else:
            self._draw_big(sheet, rows)
        if self._cue.kind in NOW:
            sheet.tint(0, 0, sheet.width, sheet.height, self._style_name)

    def _draw_big(self, sheet: Sheet, rows: int) -> None:
        """Draw figures as high as the rows, the words beside them, then the tank."""
        x = 0
        if self._cue.number is not None:
            shape = set_figures(str(min(self._cue.number, MOST)))
            scale = max(1, min(SCALES[0], 2 * rows // FIGURE_PIXELS))
            sheet.put_pixels(x, 0, shape, self._style_name, scale=scale)
            x = scale * (width_of(shape) + GAP)
        words, tank = self._cue.words, TANKS.get(self._cue.kind)
        room = sheet.width - x
        block = _set_whole(words, tank, room, 2 * rows)
        if block is None and self._draw_over_say(sheet, x, tank):
            return
        block = block or _set_short(words, tank, room, 2 * rows)
        y = max(0, 2 * rows - len(block)) // 4
        sheet.put_pixels(x, y, block, self._style_name)
        sheet.put(0, rows, self._cue.say, "cue--say")

    def _draw_over_say(self, sheet: Sheet, x: int, tank: Shape | None) -> bool:
        """Draw two lines over all rows, what is said behind the second; if it fits.

        Rather that than half of what is to be done.
        """
        block = _set_two_lines(self._cue.words, tank, sheet.width - x, 2 * sheet.height)
        if block is None:
            return False
        last = _beside(set_letters(self._cue.words[-1]), tank)
        beside = x + width_of(last) + GAP
        room = sheet.width - beside - 1  # what stands at the right is not read with it
        said = wrap(self._cue.say, max(1, room))
        if len(said) > SMALL_LETTER_ROWS or any(len(line) > room for line in said):
            return False
        sheet.put_pixels(x, 0, block, self._style_name)
        for k, line in enumerate(said):
            y = sheet.height - SMALL_LETTER_ROWS + k
            sheet.put(beside, y, line, "cue--say")
        return True

    def _draw_plain(self, sheet: Sheet, rows: int) -> None:
        """Draw the figures and the word that matters, five signs high."""
        cue, x = self._cue, 0
        scale = 2 if rows >= 2 * SMALL_ROWS else 1
        if cue.number is not None:
            figures = set_plain_figures(str(min(cue.number, MOST)))
            sheet.put_shape(x, 0, figures, self._style_name, scale=scale)
            x = scale * width_of(figures) + PLAIN_GAP
        room = sheet.width - x
        words = set_plain_letters(" ".join(cue.words))
        if width_of(words) > room:
            lines = [set_plain_letters(line) for line in cue.words]
            two = (*lines[0], "", *lines[-1])
            if len(two) <= rows and max(map(width_of, lines)) <= room:
                sheet.put_shape(x, 0, two, self._style_name)
                return
            shorter = [set_plain_letters(line) for line in _shortened(cue.words)]
            short = (line for line in shorter if width_of(line) <= room)
            words = next(short, shorter[-1])
        if scale * width_of(words) > room:
            scale = 1
        y = (rows - scale * len(words)) // 2
        sheet.put_shape(x, y, words, self._style_name, scale=scale)

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


def _set_whole(
    words: tuple[str, ...], tank: Shape | None, width: int, height: int
) -> Shape | None:
    """Set all words as large as they fit, in two lines or in one; None if they do not.

    The last word tells one kind from another, so it gets its room first; the tank
    stands behind it.

    Parameters
    ----------
    words : tuple of str
        One or two lines.
    width, height : int
        Room in pixels.
    """
    if len(words) == 1:
        return _largest(_beside(set_letters(words[0]), tank), width, height)
    two = _set_two_lines(words, tank, width, height)
    one = _beside(set_letters(" ".join(words)), tank)
    return two or (one if _fits(one, width, height) else None)


def _set_two_lines(
    words: tuple[str, ...], tank: Shape | None, width: int, height: int
) -> Shape | None:
    """Set words in two lines, as large as they fit; None if they do not."""
    first, last = set_letters(words[0]), _beside(set_letters(words[-1]), tank)
    for of_last, of_first in TWO_SCALES:
        lines = _scaled(first, of_first), _scaled(last, of_last)
        if _fits(lines[0], width, height - 1 - len(lines[1])) and _fits(
            lines[1], width, height
        ):
            return (*lines[0], "", *lines[1])
    return None


def _set_short(
    words: tuple[str, ...], tank: Shape | None, width: int, height: int
) -> Shape:
    """Set words in one line, as short as need be."""
    lines = [_beside(set_letters(line), tank) for line in _shortened(words)]
    short = next((line for line in lines if _fits(line, width, height)), lines[-1])
    return _largest(short, width, height)


def _shortened(words: tuple[str, ...]) -> Iterator[str]:
    """Give words in one line, ever shorter without meaning another thing.

    What says where keeps its "to"; what says how is told by its last word.
    """
    line = " ".join(words)
    for shorter in SHORTER:
        for word, short in shorter.items():
            line = line.replace(word, short)
        yield line
    yield words[-1]


def _beside(left: Shape, right: Shape | None) -> Shape:
    """Put one shape beside another."""
    if right is None:
        return left
    return tuple(f"{a}..{b}" for a, b in zip(left, right, strict=True))


def _scaled(shape: Shape, scale: int) -> Shape:
    """Draw a shape larger."""
    wide = ("".join(sign * scale for sign in row) for row in shape)
    return tuple(row for row in wide for _ in range(scale))


def _fits(shape: Shape, width: int, height: int) -> bool:
    """Tell whether there is room for a shape."""
    return width_of(shape) <= width and len(shape) <= height


def _largest(shape: Shape, width: int, height: int) -> Shape:
    """Draw a shape as large as it fits; never smaller than it is."""
    drawn = (_scaled(shape, scale) for scale in SCALES)
    return next((large for large in drawn if _fits(large, width, height)), shape)
