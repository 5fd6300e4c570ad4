"""Words about a run that are piped in: taken if they are there, never waited for."""

from __future__ import annotations

import os
from collections.abc import Callable
from select import select
from typing import TextIO

MOST_BYTES = 65_536
"""More than this is no word about a run; what comes without end is not read on."""


def words_from(stream: TextIO | None) -> Callable[[str], str]:
    """Make what answers a question with the first line that has been piped in.

    It raises EOFError where nothing has: the input is closed, or open and empty.
    """

    def answer(_question: str) -> str:
        """Give the line."""
        lines = _come(stream).splitlines()
        if not lines or not lines[0].strip():
            raise EOFError
        return lines[0]

    return answer


def _come(stream: TextIO | None) -> str:
    """Give what has come by now; where a system cannot tell, nothing has."""
    words = b""
    try:
        if stream is None or stream.isatty():
            return ""
        while len(words) < MOST_BYTES and select([stream], [], [], 0)[0]:
            more = os.read(stream.fileno(), MOST_BYTES)
            if not more:
                break
            words += more
    except (OSError, ValueError):
        return ""
    return words.decode(errors="replace")
