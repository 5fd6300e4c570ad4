"""The bottom row of a screen: the few keys that matter most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from textwrap import wrap
from typing import TYPE_CHECKING, ClassVar

from rich.cells import cell_len
from textual import events
from textual.binding import Binding
from textual.message import Message

from coach.screens.widgets.picture import Picture
from coach.screens.widgets.sheet import Sheet

if TYPE_CHECKING:
    from textual.timer import Timer

KEY_WORDS = {
    "space": "space",
    "enter": "enter",
    "escape": "esc",
    "question_mark": "?",
    "slash": "/",
    "plus": "+",
    "minus": "-",
    "left": "←",
    "right": "→",
    "up": "↑",
    "down": "↓",
    "left_square_bracket": "[",
    "right_square_bracket": "]",
    "backslash": "\\",
    "backspace": "⌫",
    "comma": ",",
    "full_stop": ".",
    "home": "home",
    "end": "end",
    "pageup": "page up",
    "pagedown": "page down",
    "less_than_sign": "<",
    "greater_than_sign": ">",
    "left_parenthesis": "(",
    "right_parenthesis": ")",
    "equals_sign": "=",
    "tab": "tab",
}
"""How keys are written whose names are no signs."""

PLAIN_WORDS = {
    "left": "left",
    "right": "right",
    "up": "up",
    "down": "down",
    "backspace": "backspace",
}
"""The same where arrows cannot be shown."""


def say_key(key: str, *, is_plain: bool = False) -> str:
    """Write a key as it stands on the keyboard."""
    names = []
    for name in key.split(","):
        *modifiers, last = name.strip().split("+")
        word = KEY_WORDS.get(last, last)
        if is_plain:
            word = PLAIN_WORDS.get(last, word)
        names.append("+".join([*modifiers, word]))
    return " ".join(names)


PAGE_S = 2.5
"""Words that need more than one row stand so long, then the next ones: our choice."""

REMARK_S = 8.0
"""After so long the keys stand there again, a page more makes it longer: two looks up
from the music; our own choice."""

MARGINS = 4
"""Cells left free beside words, of which one says that there are more."""


@dataclass(frozen=True, slots=True)
class ShownKey:
    """A key in the bottom row."""

    key: str
    """As it is written."""

    does: str
    """What it does, in a word or two."""

    action: str
    """The screen's action, for whoever clicks on it."""

    @property
    def width(self) -> int:
        """Cells that it takes."""
        return cell_len(self.key) + 1 + cell_len(self.does)


class KeyBar(Picture):
    """Keys and what they do, as many as there is room for; each can be clicked."""

    class Clicked(Message):
        """A key was clicked."""

        def __init__(self, action: str) -> None:
            super().__init__()
            self.action = action

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "keys--key",
        "keys--does",
        "keys--word",
        "keys--wrong",
    }

    _keys: Sequence[ShownKey] = ()
    _places: Sequence[tuple[int, ShownKey]] = ()
    _words = ""
    _is_wrong = False
    _page = 0
    _turning: Timer | None = None
    _passing: Timer | None = None

    def show_keys(self, keys: Sequence[ShownKey]) -> None:
        """Show keys and what they do, the dearest first."""
        if tuple(keys) != tuple(self._keys):
            self._keys = tuple(keys)
            self.redraw()

    def show_words(
        self, words: str, *, is_wrong: bool = False, stays: bool = False
    ) -> None:
        """Show words in the place of the keys; empty words bring the keys back.

        They go after a while, unless they stay or say what is wrong.
        """
        for timer in (self._turning, self._passing):
            if timer is not None:
                timer.stop()
        self._turning = self._passing = None
        pages = len(self._pages(words, self.content_size.width))
        if pages > 1:
            self._turning = self.set_interval(PAGE_S, self._turn_page)
        if words and not (is_wrong or stays):
            passes_s = REMARK_S + (pages - 1) * PAGE_S
            self._passing = self.set_timer(passes_s, lambda: self.show_words(""))
        if (words, is_wrong) != (self._words, self._is_wrong):
            self._words, self._is_wrong, self._page = words, is_wrong, 0
            self.redraw()

    @staticmethod
    def _pages(words: str, width: int) -> list[str]:
        """Cut words into as many rows as they need, each shown for a while."""
        return wrap(words, max(1, width - MARGINS)) or [""]

    def _turn_page(self) -> None:
        """Show the next of several pages."""
        self._page += 1
        self.redraw()

    @property
    def words(self) -> str:
        """Words that stand in the place of the keys."""
        return self._words

    def draw(self, sheet: Sheet) -> None:
        """Draw what fits; the last key, which is help, stands at the right."""
        self._places = ()
        if self._words:
            style = "keys--wrong" if self._is_wrong else "keys--word"
            pages = self._pages(self._words, sheet.width)
            sheet.put(1, 0, pages[self._page % len(pages)], style)
            if len(pages) > 1:
                sheet.put_right(sheet.width - 1, 0, "…", style)
            return
        self._places = self._place(sheet.width)
        for x, key in self._places:
            after = sheet.put(x, 0, key.key, "keys--key")
            sheet.put(after + 1, 0, key.does, "keys--does")

    def _place(self, width: int) -> Sequence[tuple[int, ShownKey]]:
        """Give each key that there is room for its first cell."""
        if not self._keys:
            return ()
        *most, last = self._keys
        end = width - 1 - last.width
        places = []
        x = 1
        for key in most:
            if x + key.width + 2 > end:
                break
            places.append((x, key))
            x += key.width + 3
        return (*places, (end, last))

    def on_click(self, event: events.Click) -> None:
        """Do what the key does that was clicked."""
        for x, key in self._places:
            if x <= event.x < x + key.width:
                self.post_message(self.Clicked(key.action))


def shown_keys(bindings: Sequence[Binding], *, is_plain: bool) -> list[ShownKey]:
    """Give the keys of a screen that stand in its bottom row, help last."""
    keys = [
        ShownKey(
            say_key(binding.key.split(",")[0], is_plain=is_plain),
            binding.description,
            binding.action,
        )
        for binding in bindings
        if binding.show
    ]
    return [*keys, ShownKey("?", "keys", "show_keys")]


def keys_of_line(*, is_plain: bool) -> list[ShownKey]:
    """Give the keys of a line that is typed, which takes all others as letters."""
    return [
        ShownKey(say_key("enter", is_plain=is_plain), "take it", "focused.submit"),
        ShownKey(say_key("escape", is_plain=is_plain), "put away", "focused.put_away"),
    ]
