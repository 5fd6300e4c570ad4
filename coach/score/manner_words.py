"""Words on a page that ask for other lengths, or another octave, than is written.

They are told, and the notes are planned, clicked and sounded as they stand.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

NOT_SWUNG = re.compile(r"\b(no|not|don['’]?t|never|ohne|kein)\s+(swing|swung)\b", re.I)
SWUNG = re.compile(
    r"\b(swing|swung|shuffle|triplet feel|in[eé]gales?\b|triolisch)", re.I
)
OCTAVE = re.compile(r"(?<!\w)(8|15)\s?(v|m)[ab]\b|\bottava\b", re.I)


def told_of_manner(words: str) -> Iterator[str]:
    """Say what words on a page ask for that is planned as written.

    Examples
    --------
    >>> list(told_of_manner("medium swing"))
    ['“medium swing” is planned and clicked as written, with even pairs of notes.']
    >>> list(told_of_manner("straight"))
    []
    """
    if SWUNG.search(NOT_SWUNG.sub("", words)):
        yield (
            f"“{words}” is planned and clicked as written, with even pairs of notes."
        )
    if OCTAVE.search(words):
        yield f"“{words}” is not followed, the notes are those that are written."
