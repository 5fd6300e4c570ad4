"""Read a part without holding up the screen: say how long it takes, stop when told."""

from __future__ import annotations

from collections.abc import Sequence
from time import monotonic
from typing import TYPE_CHECKING

from textual import work
from textual.worker import get_current_worker

from coach.errors import CoachError
from coach.screens.coach_screen import CoachScreen
from coach.screens.phrase.phrase_needs import PhraseNeeds
from coach.screens.widgets.text_lines import Line, Words

if TYPE_CHECKING:
    from textual.timer import Timer

    from coach.score.phrase import Part

TELLS_EVERY_S = 1.0
"""So often it is said how long reading takes; our own choice."""


class PartReading(CoachScreen[PhraseNeeds]):
    """A screen that shows a part of a score once it is read.

    Parameters
    ----------
    path : str
        File that it is read from.
    part_name : str or None
        Which part of the score; None to ask where it has several.
    """

    def __init__(self, path: str, part_name: str | None) -> None:
        super().__init__()
        self._path = path
        self._part_name = part_name
        self._begun_at = 0.0
        self._reading: Timer | None = None

    def show_part(self, part: Part) -> None:
        """Show what was read."""
        raise NotImplementedError

    def begin_reading(self) -> None:
        """Read, and say so."""
        self.query_one("#plan", Words).show_lines([Line("reading …", "quiet")])
        self._begun_at = monotonic()
        self._reading = self.set_interval(TELLS_EVERY_S, self._say_reading)
        self.read_part(self._part_name)

    def _say_reading(self) -> None:
        """Say how long reading has taken, until there is a part or none comes."""
        passed = round(monotonic() - self._begun_at)
        words = f"reading … {passed} s; Escape goes back to the shelf"
        self.query_one("#plan", Words).show_lines([Line(words, "quiet")])

    def _stop_reading(self) -> None:
        """Read no further, and let go of what reads."""
        if self._reading is not None:
            self._reading.stop()
            self._reading = None
            self.workers.cancel_group(self, "part")
            self.studio.stop_opening()

    @work(thread=True, exclusive=True, group="part")
    def read_part(self, name: str | None) -> None:
        """Read the part; where a score has several, ask which."""
        worker = get_current_worker()
        try:
            if name is None:
                names = tuple(self.studio.list_parts(self._path))
                if len(names) > 1:
                    self.call_later(self._ask_part, names)
                    return
            part = self.studio.open_part(self._path, name)
        except CoachError as error:
            if not worker.is_cancelled:
                self.call_later(self._fail, error)
            return
        if not worker.is_cancelled:
            self.call_later(self.show_part, part)

    def _say_no_more(self) -> None:
        """Be done with reading: it came to something, or a question is asked."""
        if self._reading is not None:
            self._reading.stop()
            self._reading = None

    def _fail(self, error: CoachError) -> None:
        self._say_no_more()
        self.query_one("#plan", Words).show_lines([])
        self.tell_error(error)

    def _ask_part(self, names: Sequence[str]) -> None:
        """Let the player choose one of several parts."""
        from coach.screens.choose_screen import ChooseScreen

        self._say_no_more()

        def chosen(index: int | None) -> None:
            if index is None:
                self.dismiss(None)
            else:
                self._part_name = names[index]
                self.read_part(names[index])

        own = self.studio.own_line(names)
        self.app.push_screen(ChooseScreen("which part?", names, own), chosen)
