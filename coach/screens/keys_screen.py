"""What each key does on a screen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import Binding

from coach.screens.coach_screen import CoachScreen
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_bar import say_key
from coach.screens.widgets.key_table import hidden, scrolling, shown, to
from coach.screens.widgets.text_lines import Line, Words

LEAD_WIDTH = 12
"""Cells for a key or a sign."""

EVERYWHERE = to(
    "on every screen",
    hidden("ctrl+p", "", "command palette", "Find any of this by its name"),
    hidden("ctrl+t", "", "other colours", "Lamplight, paper, stage"),
    hidden("ctrl+q", "", "leave", "Leave the coach; a run is kept"),
    hidden("ctrl+z", "", "to the shell", "Leave for a while; fg comes back"),
)


class KeysScreen(CoachScreen[object]):
    """The keys of the screen behind this one."""

    ABOUT = "The keys of a screen."
    KEYS: ClassVar[Sequence[Binding]] = (
        shown("escape,q,?,enter,space", "dismiss", "back"),
        *scrolling(),
    )
    HELP_KEYS: ClassVar[Sequence[Binding]] = ()

    def __init__(
        self,
        about: str,
        keys: Sequence[Binding],
        signs: Sequence[Line] = (),
        told: Sequence[Line] = (),
    ) -> None:
        super().__init__()
        self._told = told
        self._of_signs = signs
        self._about = about
        self._of = keys

    def on_mount(self) -> None:
        """Show the list."""
        super().on_mount()
        self.query_one(Heading).show_heading("keys")
        plain = self.signs.is_plain
        lines = [Line(self._about, "title"), Line("")]
        lines += [*self._told, Line("")] if self._told else []
        for purpose, keys in _by_purpose((*self._of, *EVERYWHERE)).items():
            if purpose:
                lines.append(Line(purpose, "title"))
            lines += [*_lines(keys, is_plain=plain), Line("")]
        lines += self._of_signs
        width = max([LEAD_WIDTH, *(len(line.lead) + 1 for line in lines)])
        self.query_one(Words).show_lines(lines, width)

    def action_turn(self, rows: int) -> None:
        """Scroll."""
        self.query_one(Words).scroll_rows(rows)


def _by_purpose(keys: Sequence[Binding]) -> dict[str, list[Binding]]:
    """Put keys of one purpose together, in the order of the table."""
    purposes: dict[str, list[Binding]] = {}
    for binding in keys:
        purpose = binding.group.description if binding.group else ""
        purposes.setdefault(purpose, []).append(binding)
    return purposes


def _lines(keys: Sequence[Binding], *, is_plain: bool) -> list[Line]:
    """Say what each key does; keys that do the same share a line."""
    lines: dict[str, Line] = {}
    for binding in keys:
        words = binding.tooltip or binding.description
        key = say_key(binding.key, is_plain=is_plain)
        if words in lines:
            first = lines[words].lead.split("–")[0]
            lines[words] = Line(words, lead=f"{first}–{key}")
        else:
            lines[words] = Line(words, lead=key)
    return list(lines.values())
