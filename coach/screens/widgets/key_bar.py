"""The bottom row of a screen: the few keys that matter most."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from rich.cells import cell_len
from textual.binding import Binding

from coach.screens.widgets.picture import Picture
from coach.screens.widgets.sheet import Sheet

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


class KeyBar(Picture):
    """Keys and what they do, as many as there is room for."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "keys--key",
        "keys--does",
        "keys--word",
        "keys--wrong",
    }

    _keys: Sequence[tuple[str, str]] = ()
    _words = ""
    _is_wrong = False

    def show_keys(self, keys: Sequence[tuple[str, str]]) -> None:
        """Show pairs of a key and what it does, the dearest first."""
        if tuple(keys) != tuple(self._keys):
            self._keys = tuple(keys)
            self.redraw()

    def show_words(self, words: str, *, is_wrong: bool = False) -> None:
        """Show words in the place of the keys; empty words bring the keys back."""
        if (words, is_wrong) != (self._words, self._is_wrong):
            self._words, self._is_wrong = words, is_wrong
            self.redraw()

    @property
    def words(self) -> str:
        """Words that stand in the place of the keys."""
        return self._words

    def draw(self, sheet: Sheet) -> None:
        """Draw what fits; the last pair, which is help, stands at the right."""
        if self._words:
            style = "keys--wrong" if self._is_wrong else "keys--word"
            sheet.put(1, 0, self._words, style)
            return
        if not self._keys:
            return
        *most, last = self._keys
        key, does = last
        end = sheet.width - 1 - cell_len(key) - 1 - cell_len(does)
        sheet.put(end, 0, key, "keys--key")
        sheet.put(end + cell_len(key) + 1, 0, does, "keys--does")
        x = 1
        for key, does in most:
            wide = cell_len(key) + 1 + cell_len(does)
            if x + wide + 2 > end:
                break
            x = sheet.put(x, 0, key, "keys--key") + 1
            x = sheet.put(x, 0, does, "keys--does") + 3


def shown_keys(bindings: Sequence[Binding], *, is_plain: bool) -> list[tuple[str, str]]:
    """Give the keys of a screen that stand in its bottom row, help last."""
    pairs = [
        (say_key(binding.key.split(",")[0], is_plain=is_plain), binding.description)
        for binding in bindings
        if binding.show
    ]
    return [*pairs, ("?", "keys")]
