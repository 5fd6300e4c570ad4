"""Words on a page that ask for another sound, and with it for other air.

A mute, a stopping hand and a fluttering tongue change how much air a tone takes;
by how much is measured for none of them here, so plans leave them out of account.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

TAKEN_OUT = re.compile(
    r"\b(senza|via|ohne|sans|without|no|remove|take off)\s+(the\s+)?"
    r"(sord\w*|d[äa]mpfer|mute)\b",
    re.I,
)
MUTED = re.compile(
    r"\b(con sord\w*|sord(ino|ini|ine)?\b|mit d[äa]mpfer|ged[äa]mpft|muted?\b|"
    r"gestopft|stopped|bouch[eé]s?)",
    re.I,
)
FLUTTERED = re.compile(r"\b(flz|flt|flutter|flatterz|frull)", re.I)


def told_of_sound(words: str) -> Iterator[str]:
    """Say what words on a page ask for that no plan reckons with.

    Examples
    --------
    >>> list(told_of_sound("con sord."))
    ['“con sord.” is not reckoned with, the air is that of the open instrument.']
    >>> list(told_of_sound("senza sord."))
    []
    """
    if MUTED.search(TAKEN_OUT.sub("", words)):
        yield f"“{words}” is not reckoned with, the air is that of the open instrument."
    if FLUTTERED.search(words):
        yield f"“{words}” is not reckoned with, the air is that of a plain tone."
