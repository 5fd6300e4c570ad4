"""What to take care of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import ClassVar

from textual.binding import Binding

from coach.errors import CoachError
from coach.screens.coach_screen import CoachScreen
from coach.screens.set_up.set_up_needs import Caution, CautionNeeds
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_table import scrolling, shown, to
from coach.screens.widgets.text_lines import Line, Words


class CautionsScreen(CoachScreen[CautionNeeds]):
    """Cautions, shown under one key and where a first start left them unread.

    Advice stands first; where it comes from is folded away.
    """

    ABOUT = "What to take care of when you practise breathing."
    KEYS: ClassVar[Sequence[Binding]] = (
        shown("space,enter", "read_on", "read on", "Read on; at the end, understood"),
        shown("s", "fold", "sources", "Show where each comes from, or fold it away"),
        shown("escape,q", "put_away", "back", "Back to the shelf"),
        *to("read", *scrolling()),
    )

    def __init__(self) -> None:
        super().__init__()
        self._cautions: Sequence[Caution] = ()
        self._has_sources = False

    def on_mount(self) -> None:
        """Show the cautions."""
        super().on_mount()
        self.query_one(Heading).show_heading("take care")
        try:
            self._cautions = self.studio.list_cautions()
        except CoachError as error:
            self.tell_error(error)
        self._show()

    def _show(self) -> None:
        """Show each caution in one line and then in full; its source if asked for."""
        lines: list[Line] = []
        for caution in self._cautions:
            lines += [Line(caution.short or caution.title, "title"), Line(caution.text)]
            if self._has_sources and caution.source:
                lines.append(Line(caution.source, "quiet"))
            lines.append(Line(""))
        lines.append(Line("That is all: space says that you have read it.", "strong"))
        self.query_one(Words).show_lines(lines)

    def action_fold(self) -> None:
        """Show where each caution comes from, or fold it away."""
        self._has_sources = not self._has_sources
        self._show()

    def action_turn(self, rows: int) -> None:
        """Scroll."""
        self.query_one(Words).scroll_rows(rows)

    def action_read_on(self) -> None:
        """Turn the page; after the last one it has been read."""
        words = self.query_one(Words)
        if words.more_below:
            words.scroll_rows(max(1, words.content_size.height - 2))
        else:
            self.action_put_away()

    def action_put_away(self) -> None:
        """Remember that they were shown."""
        memory = self.studio.read_memory()
        seen = replace(memory, has_seen_cautions=True)
        if memory == seen or self.keep_or_tell(lambda: self.studio.save_memory(seen)):
            self.dismiss(None)
