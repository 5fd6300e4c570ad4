"""The shelf as it is shown: read, put in order, with the opening bars below."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from time import monotonic
from typing import TYPE_CHECKING

from textual import work
from textual.worker import get_current_worker

from coach.errors import CoachError
from coach.screens.coach_screen import CoachScreen
from coach.screens.shelf.shelf_list import ShelfList
from coach.screens.shelf.shelf_order import CHOICES, ORDERS, arrange
from coach.screens.widgets.heading import Heading

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.timer import Timer

    from coach.score.phrase import Part
    from coach.screens.shelf.shelf_needs import (
        Etude,
        ShelfNeeds,  # noqa: F401 - its screen names it in a string
    )


TALL = 34
"""Rows from which on there is room for the opening bars; as in `app.tcss`."""

PATIENCE_S = 0.2
"""While scores are being read, what is there is shown this often."""

REST_S = 0.15
"""A cursor that rests on an etude this long has arrived."""


class ShelfView(CoachScreen["ShelfNeeds"]):
    """Etudes in the order that is asked for, one of them chosen."""

    def __init__(self) -> None:
        super().__init__()
        self._all: Sequence[Etude] = ()
        self._shown: Sequence[Etude] = ()
        self._chosen = 0
        self._query = ""
        self._order, self._choice = 0, 0
        self._who = ""
        self._is_begun = self._is_read = self._is_put_off = False
        self._is_at_top = True
        self._opens_when_read = False
        self._rest: Timer | None = None

    def compose_body(self) -> ComposeResult:
        """Give heading and list; the opening bars come when there is room for them."""
        yield Heading(self.signs)
        yield ShelfList(self.signs)

    @work(thread=True, exclusive=True, group="shelf")
    def read_shelf(self) -> None:
        """Read the shelf without holding up the screen."""
        worker = get_current_worker()
        found: list[Etude] = []
        shown_at = monotonic()
        try:
            for etude in self.studio.list_etudes():
                if worker.is_cancelled:
                    return
                found.append(etude)
                if not self._is_read and monotonic() - shown_at > PATIENCE_S:
                    shown_at = monotonic()
                    self.call_later(self.show_shelf, tuple(found))
            who = self.studio.says()
        except CoachError as error:
            if not worker.is_cancelled:
                self.call_later(self._show_so_far, tuple(found), error)
            return
        if not worker.is_cancelled:
            self.call_later(self.show_whole_shelf, tuple(found), who)

    def _show_so_far(self, etudes: Sequence[Etude], error: CoachError) -> None:
        """Show what could be read, say what went wrong, and read no more."""
        self.show_whole_shelf(etudes, "")
        self.tell_error(error)

    def show_whole_shelf(self, etudes: Sequence[Etude], who: str) -> None:
        """Show everything that is there."""
        self._is_read, self._who = True, who
        self.show_shelf(etudes)
        if self._opens_when_read:
            self._opens_when_read = False
            self.action_open()
        if told := self.studio.tell_files():
            self.tell(told, is_wrong=True)

    def show_shelf(self, etudes: Sequence[Etude]) -> None:
        """Show what was read so far; keep the one that the player chose, or the top."""
        is_chosen = self._shown and not self._is_at_top
        before = self._shown[self._chosen].path if is_chosen else ""
        self._all = etudes
        self._filter(before)

    def action_open(self) -> None:
        """Open the etude that is chosen."""
        raise NotImplementedError

    def choose(self, index: int) -> None:
        """Choose an etude, which stays so wherever it comes to stand."""
        self._chosen, self._is_at_top = index, False

    def _filter(self, keep: str) -> None:
        order, choice = ORDERS[self._order], CHOICES[self._choice]
        self._shown = arrange(self._all, order, choice, self._query)
        paths = [etude.path for etude in self._shown]
        self._chosen = paths.index(keep) if keep in paths else 0
        self._show()

    def _show(self) -> None:
        """Show the list as it is now."""
        self.query_one(Heading).show_heading("coach", self._say_shelf())
        now = datetime.now(UTC).astimezone()
        self.query_one(ShelfList).show_etudes(
            self._shown, self._chosen, now, self._say_empty()
        )
        self._show_opening_soon()

    def _say_empty(self) -> str:
        """Say why no etude is shown where none is, and which key shows some."""
        if not self._is_read:
            return "reading the shelf …"
        if self._query:
            return f"nothing by the name “{self._query}”: escape shows all"
        if CHOICES[self._choice].says:
            return f"none is {CHOICES[self._choice].says}: f shows others"
        return "press i to import one"

    def tell_empty(self) -> None:
        """Answer a key that is for an etude where none is shown."""
        words = self._say_empty().removesuffix(" …")
        self.tell(f"{words[0].upper()}{words[1:]}.")

    def _say_shelf(self) -> str:
        """Say how many etudes there are, which are shown how, and who plays."""
        shown, all_ = len(self._shown), len(self._all)
        words = [f"{all_} etudes" if shown == all_ else f"{shown} of {all_} etudes"]
        if not self._is_read:
            words = [f"reading … {len(self._all)}" if self._all else "reading …"]
        asked = [CHOICES[self._choice].says, ORDERS[self._order].says]
        words += [said for said in asked if said]
        if self._who and not any(asked):
            words.append(self._who)
        return f" {self.signs.bullet} ".join(words)

    def _show_opening_soon(self) -> None:
        """Show the opening bars once the cursor rests, where there is room."""
        if self._rest is not None:
            self._rest.stop()
        if self._shown and self.size.height >= TALL:
            self._rest = self.set_timer(REST_S, self._show_opening)
        else:
            self.query("Opening").remove()

    def _show_opening(self) -> None:
        etude = self._shown[self._chosen]
        if not etude.problem:
            self.read_opening(etude)

    def _draw_opening(self, part: Part) -> None:
        """Draw the opening bars under the list."""
        from coach.screens.shelf.opening import Opening

        openings = self.query(Opening)
        if openings:
            openings.first().show_part(part)
        else:
            opening = Opening(self.signs, engraver=self.studio.engraver())
            opening.show_part(part)
            self.mount(opening, after="ShelfList")

    @work(thread=True, exclusive=True, group="opening")
    def read_opening(self, etude: Etude) -> None:
        """Read the opening bars; where that fails, opening the etude will tell why."""
        worker = get_current_worker()
        try:
            part = self.studio.open_part(etude.path)
        except CoachError:
            return
        if not worker.is_cancelled:
            self.call_later(self._draw_opening, part)
