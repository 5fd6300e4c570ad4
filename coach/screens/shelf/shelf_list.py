"""The shelf: two rows an etude, or one where there is little room."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar

from textual import events
from textual.message import Message

from coach.planning.naming import say_count
from coach.screens.tempo_words import say_tempo
from coach.screens.widgets.picture import Picture
from coach.screens.widgets.sheet import Sheet, cut

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from coach.screens.shelf.shelf_needs import Etude
    from coach.screens.signs import Signs

LOW_SCREEN = 12
"""Below this many rows an etude has one row."""

LEAST_TITLE = 20
"""Cells kept for the title before anything stands beside it."""

DAYS_IN_WEEK = 7


class ShelfList(Picture):
    """Etudes, one of them chosen."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "shelf--title",
        "shelf--chosen",
        "shelf--fact",
        "shelf--chosen-fact",
        "shelf--problem",
        "shelf--edge",
    }

    class Picked(Message):
        """An etude was clicked."""

        def __init__(self, index: int) -> None:
            super().__init__()
            self.index = index

    class Turned(Message):
        """The wheel was turned."""

        def __init__(self, steps: int) -> None:
            super().__init__()
            self.steps = steps

    _etudes: Sequence[Etude] = ()
    _chosen = 0
    _first = 0
    _now: datetime | None = None
    _empty = ""

    def show_etudes(
        self, etudes: Sequence[Etude], chosen: int, now: datetime, empty: str
    ) -> None:
        """Show etudes, or words where there are none."""
        self._etudes, self._chosen, self._now = etudes, chosen, now
        self._empty = empty
        self.redraw()

    @property
    def rows_each(self) -> int:
        """Rows of one etude."""
        return 1 if self.content_size.height < LOW_SCREEN else 2

    def draw(self, sheet: Sheet) -> None:
        """Draw what is in view, the chosen one in it."""
        if not self._etudes:
            sheet.put(2, 0, self._empty, "shelf--fact")
            return
        each = self.rows_each
        in_view = max(1, sheet.height // each)
        if in_view < len(self._etudes) and sheet.height % each == 0 and in_view > 1:
            in_view -= 1
        self._first = min(self._first, max(0, len(self._etudes) - in_view))
        self._first = min(self._first, self._chosen)
        self._first = max(self._first, self._chosen - in_view + 1)
        for k, etude in enumerate(self._etudes[self._first : self._first + in_view]):
            is_chosen = self._first + k == self._chosen
            self._draw_etude(sheet, k * each, etude, is_chosen=is_chosen)
        more = len(self._etudes) - self._first - in_view
        if more > 0:
            words = f"{more} more {self.signs.below}"
            sheet.put_right(sheet.width - 2, sheet.height - 1, words, "shelf--fact")

    def _draw_etude(
        self, sheet: Sheet, y: int, etude: Etude, *, is_chosen: bool
    ) -> None:
        rows = self.rows_each
        if is_chosen:
            sheet.fill(0, y, sheet.width, rows, " ", "shelf--chosen")
            sheet.fill(0, y, 1, rows, self.signs.edge, "shelf--edge")
        room = self._draw_facts(sheet, y, etude, is_chosen=is_chosen)
        title = "shelf--chosen" if is_chosen else "shelf--title"
        sheet.put(2, y, cut(etude.title, room - 2), title)
        if rows > 1:
            quiet = "shelf--chosen-fact" if is_chosen else "shelf--fact"
            story = "shelf--problem" if etude.problem and not is_chosen else quiet
            reach = etude_range(etude, self.signs)
            room = sheet.width - 8 - len(reach)
            sheet.put(4, y + 1, cut(self._story(etude), room), story)
            sheet.put_right(sheet.width - 2, y + 1, reach, quiet)

    def _draw_facts(
        self, sheet: Sheet, y: int, etude: Etude, *, is_chosen: bool
    ) -> int:
        """Draw key, metre, bars and tempo in columns; give the cell they begin at."""
        style = "shelf--chosen" if is_chosen else "shelf--fact"
        x = sheet.width - 2
        for fact, width in reversed(etude_facts(etude, self.signs)):
            if x - width < max(sheet.width // 2 - 6, LEAST_TITLE):
                break
            sheet.put_right(x, y, fact[:width], style)
            x -= width + 2
        return x

    def _story(self, etude: Etude) -> str:
        """Tell what has been done with an etude."""
        if etude.problem:
            return etude.problem
        words = [] if etude.is_shipped else ["your own"]
        if etude.last_run is None or self._now is None:
            words.append("not rehearsed yet")
        else:
            words.append(f"last run {say_day(etude.last_run, self._now)}")
        if etude.best_clean_bpm is not None:
            words.append(f"clean at {etude.best_clean_bpm:g}")
        if etude.hardest:
            words.append(f"hardest {etude.hardest}")
        return f" {self.signs.bullet} ".join(words)

    def on_mouse_scroll_down(self, event: events.MouseScrollDown) -> None:
        """Go on to the next."""
        event.stop()
        self.post_message(self.Turned(1))

    def on_mouse_scroll_up(self, event: events.MouseScrollUp) -> None:
        """Go back to the one before."""
        event.stop()
        self.post_message(self.Turned(-1))

    def on_click(self, event: events.Click) -> None:
        """Choose what was clicked."""
        index = self._first + event.y // self.rows_each
        if index < len(self._etudes):
            self.post_message(self.Picked(index))


def etude_facts(etude: Etude, signs: Signs) -> list[tuple[str, int]]:
    """Tell key, metre, length and tempo, each with the width of its column."""
    tempo = _tempo(etude, signs)
    return [
        (etude.key, 14),
        (etude.metre, 5),
        (say_count(etude.bars, "bar") if etude.bars else "", 8),
        (tempo, max(6, len(tempo))),  # a beat without its number says nothing
    ]


def _tempo(etude: Etude, signs: Signs) -> str:
    """Write the goal tempo; nothing if it is not known."""
    if not etude.goal_bpm:
        return ""
    return say_tempo(etude.goal_bpm, etude.beat_quarters, signs)


def etude_range(etude: Etude, signs: Signs) -> str:
    """Tell lowest and highest note."""
    if not etude.lowest:
        return ""
    return signs.spell(f"{etude.lowest} to {etude.highest}")


def say_day(then: datetime, now: datetime) -> str:
    """Say a day as one would."""
    days = (now.date() - then.astimezone(now.tzinfo).date()).days
    if days <= 0:
        return "today"
    if days == 1:
        return "yesterday"
    if days < DAYS_IN_WEEK:
        return f"{days} days ago"
    return f"{then.day} {then:%B %Y}"
