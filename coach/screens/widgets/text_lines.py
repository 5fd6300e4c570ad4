"""Lines of words, wrapped to the width, scrolled where there are too many."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import ClassVar, Literal

from coach.screens.widgets.picture import Picture
from coach.screens.widgets.sheet import Sheet

Tone = Literal["plain", "title", "strong", "quiet", "chosen", "wrong"]


@dataclass(frozen=True, slots=True)
class Line:
    """One line, before it is wrapped."""

    text: str
    """What it says."""

    tone: Tone = "plain"
    """How it looks."""

    lead: str = ""
    """Stands before it, in a column of its own."""


class Words(Picture):
    """Lines in one column."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "words--title",
        "words--strong",
        "words--quiet",
        "words--chosen",
        "words--wrong",
        "words--lead",
    }

    _lines: Sequence[Line] = ()
    _first = 0
    _lead_width = 0

    def show_lines(self, lines: Sequence[Line], lead_width: int = 0) -> None:
        """Show other lines; the lead of each stands in a column of its own."""
        self._lines, self._lead_width = tuple(lines), lead_width
        self.redraw()

    def scroll_rows(self, rows: int) -> None:
        """Scroll by rows."""
        last = max(0, len(self._wrapped()) - self.content_size.height)
        self._first = max(0, min(last, self._first + rows))
        self.redraw()

    @property
    def text(self) -> str:
        """All words, for whoever asks."""
        return "\n".join(f"{line.lead} {line.text}".strip() for line in self._lines)

    def _wrapped(self) -> list[tuple[str, str, Tone]]:
        """Wrap every line to the width."""
        width = max(8, self.content_size.width - self._lead_width - 4)
        rows: list[tuple[str, str, Tone]] = []
        for line in self._lines:
            parts = wrap(line.text, width) or [""]
            rows.append((line.lead, parts[0], line.tone))
            rows.extend(("", part, line.tone) for part in parts[1:])
        return rows

    def draw(self, sheet: Sheet) -> None:
        """Draw the rows in view; the chosen one is kept in it."""
        rows = self._wrapped()
        chosen = [k for k, row in enumerate(rows) if row[2] == "chosen"]
        if chosen:
            self._first = min(self._first, chosen[0])
            self._first = max(self._first, chosen[-1] - sheet.height + 1)
        x = 2 + self._lead_width
        for y, (lead, text, tone) in enumerate(rows[self._first :]):
            if y >= sheet.height:
                break
            style = "" if tone == "plain" else f"words--{tone}"
            if tone == "chosen":
                sheet.fill(0, y, sheet.width, 1, " ", style)
                sheet.put(0, y, self.signs.edge, style)
            sheet.put(2, y, lead, "words--lead" if tone != "chosen" else style)
            sheet.put(x, y, text, style)
