"""The text of a tune, with the first mistake marked where it stands."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.widgets import TextArea

if TYPE_CHECKING:
    from rich.text import Text

    from coach.score.abc.abc_faults import Spot


class TuneText(TextArea):
    """A text area that underlines one line from a column on."""

    _slip: Spot | None = None

    def __init__(self) -> None:
        super().__init__(show_line_numbers=True, compact=True, soft_wrap=True)

    def on_resize(self) -> None:
        """Keep the cursor in view when a notice takes room."""
        self.call_after_refresh(self.scroll_cursor_visible)

    def mark(self, slip: Spot | None) -> None:
        """Mark another place, or none."""
        if slip != self._slip:
            self._slip = slip
            self._line_cache.clear()
            self.refresh()

    def get_line(self, line_index: int) -> Text:
        """Give a line as it is drawn."""
        line = super().get_line(line_index)
        slip = self._slip
        if slip is not None and slip.line == line_index + 1:
            line.stylize("underline")
            line.stylize("reverse bold", slip.column - 1, slip.column)
        return line
