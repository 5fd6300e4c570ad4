"""Look into an engraved page: where its heads are, where its staff lies; colour it.

The page is SVG as verovio writes it: an outer ``svg`` in which one of class
``definition-scale`` holds everything, ten of its units to one of the page's.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from xml.etree import ElementTree

SVG = "{http://www.w3.org/2000/svg}"
XLINK = "{http://www.w3.org/1999/xlink}"
SPACE_UNITS = 180
"""Units of the inner picture from one staff line to the next."""

STAFF_SPACES = 4
HEAD_SPACES = 0.59
"""From a black head's left edge to its middle (Leipzig, glyph noteheadBlack)."""

NUMBER = re.compile(r"-?\d+(?:\.\d+)?")

ElementTree.register_namespace("", SVG.strip("{}"))
ElementTree.register_namespace("xlink", XLINK.strip("{}"))


@dataclass(frozen=True, slots=True)
class Look:
    """Colours of a picture, as ``#rrggbb``."""

    ink: str
    """Heads, stems, signs."""

    lines: str
    """The five lines."""

    paper: str
    """What lies behind."""


class EngravedPage:
    """One system of one staff."""

    def __init__(self, text: str) -> None:
        self._root = ElementTree.fromstring(text)
        scaled = self._root.find(f"{SVG}svg")
        if scaled is None:
            raise ValueError(text[:SPACE_UNITS])
        self._scaled = scaled
        self._lines = [
            line
            for staff in self._of_class("staff")
            for line in staff.findall(f"{SVG}path")
        ]

    def _of_class(self, *names: str) -> Iterator[ElementTree.Element]:
        """Find groups by their class."""
        for group in self._root.iter(f"{SVG}g"):
            if group.get("class") in names:
                yield group

    @property
    def systems(self) -> int:
        """How many systems the page has."""
        return sum(1 for _ in self._of_class("system"))

    @property
    def top(self) -> float:
        """Where the top line lies, in units."""
        return min(_numbers(line.get("d"))[1] for line in self._lines)

    @property
    def width_spaces(self) -> float:
        """How wide the staff is, in spaces."""
        right = max(_numbers(line.get("d"))[2] for line in self._lines)
        return right / SPACE_UNITS

    def heads(self) -> dict[str, float]:
        """Give the middle of each head and rest, and each bar line by its bar's id.

        All in spaces from the left; a rest in the middle of its bar is left out.
        """
        found: dict[str, float] = {}
        for group in self._of_class("note", "rest"):
            name = group.get("id", "")
            sign = group.find(f".//{SVG}use")
            if sign is not None:
                left = _numbers(sign.get("transform"))[0]
                found[name] = left / SPACE_UNITS + HEAD_SPACES
        for measure in self._of_class("measure"):
            for bar in measure.iter(f"{SVG}g"):
                line = bar.find(f"{SVG}path")
                if bar.get("class") == "barLine" and line is not None:
                    left = _numbers(line.get("d"))[0]
                    found[measure.get("id", "")] = left / SPACE_UNITS
        return found

    def cut_out(self, width: int, height: int, space: float, top: float) -> None:
        """Make the page a window of pixels, its top line so many pixels down."""
        units = SPACE_UNITS / space
        self._root.attrib.update(
            width=str(width), height=str(height), viewBox=f"0 0 {width} {height}"
        )
        self._scaled.attrib.update(
            width=str(width),
            height=str(height),
            viewBox=f"0 {self.top - top * units} {width * units} {height * units}",
        )

    def colour(self, look: Look) -> None:
        """Draw in ink, and the five lines in a colour of their own."""
        self._scaled.set("color", look.ink)
        self._scaled.set("fill", look.ink)
        for line in self._lines:
            line.set("style", f"stroke:{look.lines}")

    def text(self) -> str:
        """Give the page as SVG."""
        return ElementTree.tostring(self._root, encoding="unicode")


def _numbers(text: str | None) -> list[float]:
    """Find the numbers in a path or a transform."""
    return [float(number) for number in NUMBER.findall(text or "")]
