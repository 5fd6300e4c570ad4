"""Plain values as JSON that a terminal shows and never obeys."""

from __future__ import annotations

import json


def write_json(value: object) -> str:
    r"""Write a value out, with every control sign as an escape of JSON.

    Examples
    --------
    >>> write_json("Ré\u202e")
    '"Ré\\u202e"'
    """
    lines = json.dumps(value, ensure_ascii=False, indent=1).split("\n")
    return "\n".join(map(_escaped, lines))


def _escaped(line: str) -> str:
    """Escape the signs of a line that would turn or command a terminal."""
    if line.isprintable():
        return line
    return "".join(
        sign if sign.isprintable() else json.dumps(sign)[1:-1] for sign in line
    )
