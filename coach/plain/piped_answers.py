"""Words about a run that are piped in: taken if they are there, never waited for."""

from __future__ import annotations

import os
from select import select
from typing import TextIO

MOST_BYTES = 65_536
"""More than this is no word about a run; what comes without end is not read on."""


class PipedWords:
    """Answers each question with the next line that has been piped in.

    It raises EOFError where there is none: the input is closed, or open and empty.
    """

    def __init__(self, stream: TextIO | None) -> None:
        self._stream = stream
        self._lines: list[str] | None = None

    def __call__(self, _question: str) -> str:
        """Give the next line."""
        if self._lines is None:
            self._lines = _come(self._stream).splitlines()
        if not self._lines:
            raise EOFError
        return self._lines.pop(0)

    @property
    def left(self) -> int:
        """Lines that say something and answered nothing."""
        return sum(1 for line in self._lines or () if line.strip())


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
