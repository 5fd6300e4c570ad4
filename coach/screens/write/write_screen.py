"""Type an etude in ABC: the text above, the staff below, the first mistake marked."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.binding import Binding
from textual.widgets import TextArea
from textual.worker import get_current_worker

from coach.errors import CoachError
from coach.planning.naming import say_count
from coach.screens.coach_screen import PRACTICE_CSS, CoachScreen
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_table import shown
from coach.screens.write.tune_text import TuneText
from coach.screens.write.typed_staff import TypedStaff
from coach.screens.write.write_needs import OwnText, WriteNeeds

if TYPE_CHECKING:
    from textual.app import ComposeResult
    from textual.timer import Timer

    from coach.score.abc.typed_tune import TypedTune

REST_S = 0.3
"""Fingers that rest this long let the tune be saved and read; our own choice."""

FIELD = re.compile(r"[A-Za-z+]:|%")
BAR_LINE = re.compile(r":*\|[|:\]]*|::")
COMMENT = re.compile(r"%.*")
TEXT = re.compile(r'"[^"]*"|\[[A-Za-z]:[^\]]*\]')


class WriteScreen(CoachScreen[WriteNeeds]):
    """An own etude and its text; gives its path when it is left.

    Parameters
    ----------
    name : str
        Its name; one that is not there yet is begun.
    """

    CSS_PATH = PRACTICE_CSS
    ABOUT = "Type an etude in ABC."
    KEYS: ClassVar[Sequence[Binding]] = (
        shown("escape", "leave", "back", "Back to the shelf; it is saved"),
        shown("f1", "help_page", "how to type", "Twelve things an etude needs"),
        shown("f2", "go_to_slip", "go to the mistake", "Put the cursor on it"),
        shown("ctrl+z", "undo", "undo", "Undo what was typed last"),
        shown("ctrl+y", "redo", "redo", "Do it again"),
    )

    def __init__(self, name: str) -> None:
        super().__init__()
        self._etude = name
        self._own: OwnText | None = None
        self._tune: TypedTune | None = None
        self._rest: Timer | None = None
        self._text = TuneText()

    def compose_body(self) -> ComposeResult:
        """Heading, text and staff."""
        yield Heading(self.signs)
        yield self._text
        yield TypedStaff(self.signs)

    def on_mount(self) -> None:
        """Open the etude where it was left."""
        super().on_mount()
        area = self._text
        self.query_one(Heading).show_heading(self._etude)
        try:
            self._own = own = self.studio.open_own(self._etude)
        except CoachError as error:
            area.read_only = True
            self.tell_error(error)
            return
        area.load_text(own.text)
        area.move_cursor(own.place)
        area.focus()
        self.read_tune(own.path, own.text)

    @property
    def keeps_at_end(self) -> bool:
        """Tell whether something was typed since it was saved last."""
        return self._own is not None and self._own.text != self._text.text

    def on_unmount(self) -> None:
        """Keep what was typed last, however the screen was left."""
        if self.keeps_at_end:
            self.keep_at_end(self._save)

    @on(TextArea.Changed)
    def _typed(self) -> None:
        """Wait until the fingers rest."""
        if self._own is not None:
            self._stop_waiting()
            self._rest = self.set_timer(REST_S, self._keep_and_read)

    @on(TextArea.SelectionChanged)
    def _moved(self) -> None:
        """Show the staff where the cursor is."""
        area = self._text
        self.query_one(TypedStaff).show_bar(bar_at(area.text, area.cursor_location))

    def _stop_waiting(self) -> None:
        if self._rest is not None:
            self._rest.stop()
            self._rest = None

    def _keep_and_read(self) -> None:
        if self._keep() and self._own is not None:
            self.read_tune(self._own.path, self._own.text)

    def _keep(self) -> bool:
        """Save; tell if that fails, and try again with the next change."""
        self._stop_waiting()
        try:
            self._save()
        except CoachError as error:
            self.tell_error(error)
            return False
        return True

    def _save(self) -> None:
        if self._own is not None:
            area = self._text
            own = replace(self._own, text=area.text, place=area.cursor_location)
            self.studio.save_own(own)
            self._own = own

    @work(thread=True, exclusive=True, group="tune")
    def read_tune(self, path: str, text: str) -> None:
        """Read what was typed without holding up the screen."""
        worker = get_current_worker()
        try:
            tune = self.studio.read_typed(path, text)
        except CoachError as error:
            if not worker.is_cancelled:
                self.call_later(self.tell_error, error)
            return
        if not worker.is_cancelled:
            self.call_later(self.show_tune, tune)

    @work(thread=True, group="typing")
    def end_typing(self) -> None:
        """Let go of what reads, once it has answered."""
        self.studio.end_typing()

    def show_tune(self, tune: TypedTune) -> None:
        """Show the staff, or what is wrong; the last staff stays meanwhile."""
        self._tune = tune
        slip, part = tune.slip, tune.part
        self._text.mark(slip.spot if slip is not None else None)
        if part is None:
            words = tune.says or "Type the notes under the line K:. F1 tells how."
            self.tell(words, is_wrong=bool(tune.says), stays=True)
            return
        self.query_one(TypedStaff).show_part(part)
        bars, notes = say_count(part.bar_count, "bar"), len(part.notes)
        self.query_one(Heading).show_heading(
            part.title, f"{bars} {self.signs.bullet} {say_count(notes, 'note')}"
        )
        self.tell(tune.says, is_wrong=bool(tune.says), stays=True)

    def action_go_to_slip(self) -> None:
        """Put the cursor on the mistake."""
        slip = self._tune.slip if self._tune is not None else None
        if slip is not None:
            place = (slip.spot.line - 1, slip.spot.column - 1)
            self._text.move_cursor(place)

    def action_undo(self) -> None:
        """Undo what was typed last."""
        self._text.undo()

    def action_redo(self) -> None:
        """Do it again."""
        self._text.redo()

    def action_help_page(self) -> None:
        """Show how to type an etude."""
        from coach.screens.write.help_page import HelpPage

        self.app.push_screen(HelpPage())

    def action_leave(self) -> None:
        """Save and go back; what cannot be saved is not left."""
        if self._keep():
            self.end_typing()
            self.dismiss(self._own.path if self._own is not None else None)


def bar_at(text: str, place: tuple[int, int]) -> int:
    """Count the bar lines before a place in a tune, about: to show its staff."""
    row, column = place
    lines = text.split("\n")[: row + 1]
    if lines:
        lines[-1] = lines[-1][:column]
    music = [line for line in lines if not FIELD.match(line)]
    return sum(
        bool(bar.strip())
        for line in music
        for bar in BAR_LINE.split(TEXT.sub("", COMMENT.sub("", line)))[:-1]
    )
