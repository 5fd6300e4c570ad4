"""Lines of words, wrapped to the width, scrolled where there are too many."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import ClassVar, Literal

from textual import events
from textual.message import Message

from coach.screens.widgets.picture import Picture
from coach.screens.widgets.sheet import Sheet

LEAST_ROWS = 3
"""With fewer rows none of them can be spared to say how many more there are."""

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
    """Lines in one column; the wheel scrolls them."""

    class Picked(Message):
        """A line was clicked."""

        def __init__(self, words: Words, index: int) -> None:
            super().__init__()
            self.words = words
            self.index = index

        @property
        def control(self) -> Words:
            """The lines that one of was clicked."""
            return self.words

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
    _follows_chosen = True
    _grown_share = 0.0
    _reader = ""

    def show_lines(self, lines: Sequence[Line], lead_width: int = 0) -> None:
        """Show other lines; the lead of each stands in a column of its own.

        Who has scrolled away from the chosen one stays there until another is chosen.
        """
        chosen = _chosen(self._lines), len(self._lines)
        self._lines, self._lead_width = tuple(lines), lead_width
        if (_chosen(lines), len(lines)) != chosen:
            self._follows_chosen = True
        self.redraw()

    def name_reader(self, key: str) -> None:
        """Name the key that reads on beside how many rows more there are."""
        if key != self._reader:
            self._reader = key
            self.redraw()

    def grow_to(self, share: float) -> None:
        """Take as many rows as the words need, up to a share of the screen's; 0: none.

        Rows that are its own anyway stay.
        """
        self._grown_share = share
        self._grow()

    def on_resize(self) -> None:
        """Take the rows that the words need at another width."""
        self._grow()

    def _grow(self) -> None:
        most = int(self.screen.size.height * self._grown_share)
        needed = len(self._wrapped_to(self.content_size.width))
        self.styles.min_height = min(most, needed)

    def scroll_rows(self, rows: int) -> None:
        """Scroll by rows, away from the chosen line too, until it is shown anew."""
        self._follows_chosen = False
        last = max(0, len(self._wrapped()) - self.content_size.height)
        self._first = max(0, min(last, self._first + rows))
        self.redraw()

    @property
    def more_below(self) -> int:
        """How many rows stand below those in view."""
        count = len(self._wrapped())
        return count - self._first - self._in_view(count, self.content_size.height)

    @property
    def is_cut(self) -> bool:
        """There are more rows than room for them."""
        return len(self._wrapped()) > self.content_size.height

    @property
    def text(self) -> str:
        """All words, for whoever asks."""
        return "\n".join(f"{line.lead} {line.text}".strip() for line in self._lines)

    def _wrapped(self) -> list[tuple[int, str, str]]:
        """Wrap every line to the width: which line it is, its lead, its text.

        Where no row is spared to tell of more, each leaves room for that behind it.
        """
        width, height = self.content_size.width, self.content_size.height
        rows = self._wrapped_to(width)
        if len(rows) > height and height < LEAST_ROWS:
            return self._wrapped_to(width - len(self._say_more(len(rows))))
        return rows

    def _wrapped_to(self, width: int) -> list[tuple[int, str, str]]:
        """Wrap every line to a width."""
        width = max(8, width - self._lead_width - 4)
        rows: list[tuple[int, str, str]] = []
        for k, line in enumerate(self._lines):
            parts = wrap(line.text, width) or [""]
            rows.append((k, line.lead, parts[0]))
            rows.extend((k, "", part) for part in parts[1:])
        return rows

    def _say_more(self, more: int) -> str:
        """Say how many more rows there are, and which key reads on."""
        return f"  {self._reader} {more} more {self.signs.below}"

    def _in_view(self, count: int, height: int) -> int:
        """Tell how many of the rows are shown; one is spared to tell of more."""
        left = count - self._first
        is_sparing = left > height >= LEAST_ROWS
        return height - 1 if is_sparing else min(left, height)

    def _scroll_to_chosen(self, rows: list[tuple[int, str, str]], height: int) -> None:
        """Keep the line in view that is chosen."""
        tones = [self._lines[row[0]].tone for row in rows]
        if not self._follows_chosen or "chosen" not in tones:
            return
        chosen = [k for k, tone in enumerate(tones) if tone == "chosen"]
        self._first = min(self._first, chosen[0])
        while chosen[-1] >= self._first + max(1, self._in_view(len(rows), height)):
            self._first += 1

    def draw(self, sheet: Sheet) -> None:
        """Draw the rows in view; the chosen one is kept in it."""
        rows = self._wrapped()
        self._first = min(self._first, max(0, len(rows) - sheet.height))
        self._scroll_to_chosen(rows, sheet.height)
        in_view = self._in_view(len(rows), sheet.height)
        x = 2 + self._lead_width
        for y, (k, lead, text) in enumerate(rows[self._first :][:in_view]):
            tone = self._lines[k].tone
            style = "" if tone == "plain" else f"words--{tone}"
            if tone == "chosen":
                sheet.fill(0, y, sheet.width, 1, " ", style)
                sheet.put(0, y, self.signs.edge, style)
            sheet.put(2, y, lead, "words--lead" if tone != "chosen" else style)
            sheet.put(2 if tone == "title" and not lead else x, y, text, style)
        if more := len(rows) - self._first - in_view:
            y = min(in_view, sheet.height - 1)  # behind the last where none is spared
            words = self._say_more(more).strip()
            sheet.put_right(sheet.width - 2, y, words, "words--quiet")

    def on_click(self, event: events.Click) -> None:
        """Tell which line was clicked."""
        rows = self._wrapped()
        at = self._first + event.y
        if event.y < self._in_view(len(rows), self.content_size.height):
            self.post_message(self.Picked(self, rows[at][0]))

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Scroll on."""
        event.stop()
        self.scroll_rows(1)

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """Scroll back."""
        event.stop()
        self.scroll_rows(-1)


def _chosen(lines: Sequence[Line]) -> int | None:
    """Tell which line is chosen; None if none is."""
    return next((k for k, line in enumerate(lines) if line.tone == "chosen"), None)
