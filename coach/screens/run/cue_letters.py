"""The words of a cue in big letters, as large as there is room for and no shorter.

A single word that is too long is set all the same: it is short enough at every size.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import product

from coach.screens.widgets.big_type import Shape, width_of

SCALES = (3, 2, 1)
TWO_SCALES = sorted(product(SCALES, SCALES), key=lambda pair: (-min(pair), -pair[0]))
"""Of the last line and the first: rather both large than one larger."""

SHORTER = (
    {"BREATHE FULL": "FILL UP", "BREATHE DEEP": "FILL UP"},
    {"INTO BAR": "INTO", "AIR OUT BAR": "OUT BAR", "PLAY ON": "BEATS"},
    {"OUT BAR": "OUT IN"},
)
"""How it is said ever shorter; a bar number alone would be read as that of the bar
that sounds, behind a "to" as up to its bar line, and "full" alone as how it is, not
what to do."""


@dataclass(frozen=True, slots=True)
class CueRoom:
    """Where the words of a cue are set."""

    width: int
    """In pixels, or in cells for letters of whole signs."""

    height: int
    """In the same."""

    setting: Callable[[str], Shape]
    """Sets a line in letters."""

    tank: Shape | None = None
    """Stands behind the last word; None for nothing."""

    def set_last(self, line: str) -> Shape:
        """Set the last line with what stands behind it."""
        shape = self.setting(line)
        if self.tank is None:
            return shape
        return tuple(f"{a}..{b}" for a, b in zip(shape, self.tank, strict=True))

    def holds(self, shape: Shape, rows_taken: int = 0) -> bool:
        """Tell whether a shape fits beside some rows that are taken."""
        return width_of(shape) <= self.width and len(shape) <= self.height - rows_taken

    def largest(self, shape: Shape) -> Shape:
        """Draw a shape as large as it fits; never smaller than it is."""
        drawn = (_scaled(shape, scale) for scale in SCALES)
        return next((large for large in drawn if self.holds(large)), shape)


def set_whole(words: tuple[str, ...], room: CueRoom) -> Shape | None:
    """Set all words as large as they fit, in two lines or in one; None if they do not.

    The last word tells one kind from another, so it gets its room first.
    """
    if len(words) == 1:
        return room.largest(room.set_last(words[0]))
    one = room.set_last(" ".join(words))
    return set_two_lines(words, room) or (one if room.holds(one) else None)


def set_two_lines(words: tuple[str, ...], room: CueRoom) -> Shape | None:
    """Set words in two lines, as large as they fit; None if they do not."""
    first, last = room.setting(words[0]), room.set_last(words[-1])
    for of_last, of_first in TWO_SCALES:
        lines = _scaled(first, of_first), _scaled(last, of_last)
        if room.holds(lines[0], 1 + len(lines[1])) and room.holds(lines[1]):
            return (*lines[0], "", *lines[1])
    return None


def set_short(words: tuple[str, ...], room: CueRoom) -> Shape | None:
    """Set words in one line, as short as need be; None if that is still too long."""
    lines = map(room.set_last, _shortened(words))
    short = next((line for line in lines if room.holds(line)), None)
    return short and room.largest(short)


def _shortened(words: tuple[str, ...]) -> Iterator[str]:
    """Give words in one line, ever shorter without meaning another thing.

    What says where keeps what it says of the bar; what says how is told by its last
    word.
    """
    line = " ".join(words)
    for shorter in SHORTER:
        for word, short in shorter.items():
            line = line.replace(word, short)
        yield line
    if not words[-1].startswith(("BAR", "ON")):
        yield words[-1]


def _scaled(shape: Shape, scale: int) -> Shape:
    """Draw a shape larger."""
    wide = ("".join(sign * scale for sign in row) for row in shape)
    return tuple(row for row in wide for _ in range(scale))
