"""Words on a page that lead through it, or that let it grow and fall."""

from __future__ import annotations

import re

GROWING = re.compile(r"\bcresc", re.I)
FALLING = re.compile(r"\b(decresc|dim(in)?\b|diminuendo)", re.I)

# "D.C. al Fine" has the word of its target too, so the jumps are looked for first.
JUMPS = (
    ("da capo", re.compile(r"\bd\.?\s*c\b\.?|\bda\s+capo\b", re.I)),
    ("dal segno", re.compile(r"\bd\.?\s*s\b\.?|\bdal\s+segno\b", re.I)),
    ("to coda", re.compile(r"\b(to|alla|al)\s+(the\s+)?coda\b", re.I)),
    ("fine", re.compile(r"^\W*fine\W*$", re.I)),
    ("coda", re.compile(r"^\W*coda\W*$", re.I)),
    ("segno", re.compile(r"^\W*segno\W*$", re.I)),
)

LONGEST_ROUTE = 48
"""Signs of a text that may be a jump; a longer one is an explanation; our choice."""


def route_word_in(text: str) -> str:
    """Give the word of `RepeatSigns` that a text stands for; "" for none.

    Examples
    --------
    >>> route_word_in("D.S. al Coda"), route_word_in("fine"), route_word_in("dolce")
    ('dal segno', 'fine', '')
    """
    for word, pattern in JUMPS:
        if len(text) <= LONGEST_ROUTE and pattern.search(text):
            return word
    return ""


def growth_in(text: str) -> int:
    """Tell whether a text says to grow (1), to fall (-1), or neither (0)."""
    if FALLING.search(text):
        return -1
    return 1 if GROWING.search(text) else 0
