"""Lines of a screen's table of keys: which key, what it does, and how that is said."""

from __future__ import annotations

from dataclasses import replace

from textual.binding import Binding

SIGNS = {
    "+": "plus",
    "-": "minus",
    "=": "equals_sign",
    "[": "left_square_bracket",
    "]": "right_square_bracket",
    "(": "left_parenthesis",
    ")": "right_parenthesis",
    "?": "question_mark",
    "/": "slash",
    ".": "full_stop",
}
"""Textual's names of keys that are signs."""


def shown(keys: str, action: str, name: str, tells: str = "") -> Binding:
    """Bind keys, with commas between them, that the bottom row shows if it can.

    `name` stands in the bottom row, `tells` in help and in the palette.
    """
    return _bind(keys, action, name, tells, is_shown=True)


def hidden(keys: str, action: str, name: str, tells: str = "") -> Binding:
    """Bind keys that only help and the palette tell of."""
    return _bind(keys, action, name, tells, is_shown=False)


def walking(what: str) -> tuple[Binding, ...]:
    """Give the keys that go through a list, line by line."""
    return (
        hidden("down,j", "move(1)", "down", f"The next {what}"),
        hidden("up,k", "move(-1)", "up", f"The {what} before"),
    )


def leaping(lines: int, action: str = "move") -> tuple[Binding, ...]:
    """Give the keys that go further at once."""
    return (
        hidden("pagedown", f"{action}({lines})", "further down"),
        hidden("pageup", f"{action}({-lines})", "further up"),
    )


def scrolling() -> tuple[Binding, ...]:
    """Give the keys that scroll a page of text."""
    return (
        hidden("down,j", "turn(1)", "down", "Scroll down"),
        hidden("up,k", "turn(-1)", "up", "Scroll up"),
        *leaping(10, "turn"),
        hidden("home", "turn(-99999)", "top"),
        hidden("end", "turn(99999)", "bottom"),
    )


def reading(rows: int = 5) -> tuple[Binding, ...]:
    """Give the keys that scroll words on a screen that walks through lines."""
    return (
        hidden("pagedown", f"read({rows})", "read on", "More of the words"),
        hidden("pageup", f"read({-rows})", "read back", "Back to the words above"),
    )


def to(purpose: str, *bindings: Binding) -> tuple[Binding, ...]:
    """Say what keys are for; help shows those of one purpose together."""
    group = Binding.Group(purpose)
    return tuple(replace(binding, group=group) for binding in bindings)


def _bind(keys: str, action: str, name: str, tells: str, *, is_shown: bool) -> Binding:
    named = ",".join(SIGNS.get(key, key) for key in keys.split(","))
    return Binding(named, action, name, show=is_shown, tooltip=tells)
