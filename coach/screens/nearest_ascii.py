"""The sign of ASCII that comes nearest to each sign, where nothing else is shown."""

from __future__ import annotations

import unicodedata
from functools import lru_cache

_NEAREST = str.maketrans(
    {
        "▁": "_",
        "▂": "_",
        "▃": "_",
        "▔": "-",
        "▀": "#",
        "▄": "#",
        "▅": "#",
        "▆": "#",
        "▇": "#",
        "█": "#",
        "▌": "#",
        "▐": "#",
        "▊": "#",
        "▎": "|",
        "▏": "|",
        "▕": "|",
        "▬": "=",
        "─": "-",
        "━": "-",
        "│": "|",
        "┃": "|",
        "┌": "+",
        "┐": "+",
        "└": "+",
        "┘": "+",
        "╭": "+",
        "╮": "+",
        "╯": "+",
        "╰": "+",
        "├": "+",
        "┤": "+",
        "┬": "+",
        "┴": "+",
        "┼": "+",
        "╸": "-",
        "╺": "-",
        "▲": "^",
        "▼": "v",
        "▶": ">",
        "◀": "<",
        "●": "*",
        "○": "o",
        "•": "*",
        "·": "-",
        "—": "-",
        "–": "-",
        "…": "~",
        "“": '"',
        "”": '"',
        "‘": "'",
        "’": "'",
        "♭": "b",
        "♯": "#",
        "♮": "n",
        "♩": "q",
        "♪": "e",
        "×": "x",
        "→": ">",
        "←": "<",
        "↑": "^",
        "↓": "v",
        "⏎": ">",
        "½": "2",
        "ß": "s",
        "æ": "a",
        "Æ": "A",
        "œ": "o",
        "Œ": "O",
        "ø": "o",
        "Ø": "O",
        "ł": "l",
        "Ł": "L",
        "đ": "d",
        "Đ": "D",
        "ı": "i",
    }
)


@lru_cache(4096)
def plain(text: str) -> str:
    """Write text with signs of ASCII only, as many of them as it had.

    Examples
    --------
    >>> plain("Étude in E♭")
    'Etude in Eb'
    """
    if text.isascii():
        return text
    near = text.translate(_NEAREST)
    return near if near.isascii() else "".join(_plain_sign(sign) for sign in near)


def _plain_sign(sign: str) -> str:
    """Find the ASCII sign that comes nearest to one sign."""
    if sign.isascii():
        return sign
    first = unicodedata.normalize("NFKD", sign)[0]
    if first.isascii() and first.isprintable():
        return first
    return "?"
