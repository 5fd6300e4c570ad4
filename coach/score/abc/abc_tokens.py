"""The signs of a line of music, and what each begins with.

Sections are those of the abc standard, version 2.1 (Walshaw and others, 2011).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

LENGTH = r"\d{0,4}(?:/+\d{0,4})?"
TOKEN = re.compile(
    rf"""
    (?P<space>[\s`]+|y{LENGTH}|\\$|\$)        # 4.7, 6.1.2, 2.2.6
    |"(?P<text>[^"]*)"                        # 4.18, 4.19
    |\[(?P<field>[A-Za-z]:[^\]]*)\]           # 3.2
    |(?P<bar>\.?(?::*\[?\|+\]?:*|::+))        # 4.8
    |(?P<ending>\[?\d+(?:[-,]\d+)*)           # 4.9, 4.10
    |\[(?P<chord>[^\]]*)\](?P<chord_length>{LENGTH})   # 4.17
    |\{{(?P<slash>/?)(?P<grace>[^}}]*)\}}     # 4.12
    |(?P<overlay>\(?&+\)?)                    # 7.4
    |\((?P<tuplet>\d+(?::\d*){{0,2}})         # 4.13
    |(?P<slur>\.?\(|\))                       # 4.11
    |(?P<tie>\.?-)                            # 4.11
    |(?P<broken>>+|<+)                        # 4.4
    |!(?P<sign>[^!\s|]+)!                     # 4.14
    |\+(?P<old_sign>[^+\s|]+)\+               # 10.2.2
    |(?P<accidental>[\^_=]*)(?P<letter>[A-Ga-g])(?P<octave>[,']*)(?P<length>{LENGTH})
    |(?P<rest>[zx])(?P<rest_length>{LENGTH})  # 4.5
    |(?P<bars_rest>[ZX])(?P<bars_count>\d*)   # 4.5
    |(?P<short>[.~H-Wh-w])                    # 4.14, 4.16
    |(?P<wrong>.)
    """,
    re.X,
)
ACCIDENTALS = {"": None, "^": 1, "^^": 2, "_": -1, "__": -2, "=": 0}


@dataclass(frozen=True, slots=True)
class Token:
    """One sign of a line."""

    kind: str
    """Name of its group in `TOKEN`."""

    found: re.Match[str]
    """What was found."""

    start: int
    """Where it begins in the line's text."""

    is_apart: bool
    """White space stands before it, or it is the first: no beam leads to it (4.7)."""

    @property
    def text(self) -> str:
        """Give the sign as it is written."""
        return self.found[0]


KINDS = (
    *("space", "text", "field", "bar", "ending", "chord", "grace", "overlay", "tuplet"),
    *("slur", "tie", "broken", "sign", "old_sign", "letter", "rest", "bars_rest"),
    *("short", "wrong"),
)


def tokens(text: str, start: int = 0) -> Iterator[Token]:
    """Give the signs of a text in order; `start` is where it stands in its line."""
    is_apart = True
    for found in TOKEN.finditer(text):
        kind = next(kind for kind in KINDS if found[kind] is not None)
        if kind == "space":
            is_apart |= any(map(str.isspace, found[0]))
            continue
        yield Token(kind, found, start + found.start(), is_apart)
        is_apart = False


def read_length(text: str) -> Fraction:
    """Read a note length in units: ``3/2``, ``/``, ``//`` (4.3); 0 makes no sense.

    Examples
    --------
    >>> [str(read_length(text)) for text in ("", "3", "3/2", "/", "//", "/4")]
    ['1', '3', '3/2', '1/2', '1/4', '1/4']
    """
    above, slashes, below = re.fullmatch(r"(\d*)(/*)(\d*)", text).groups()  # type: ignore[union-attr]
    length = Fraction(int(above or 1))
    if not slashes:
        return length
    if not below:
        return length / Fraction(2) ** min(len(slashes), 9)
    return length / int(below) if int(below) else Fraction(0)
