"""Which signs this terminal shows: one answer for screens and lines of text."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterable, Mapping
from io import TextIOWrapper
from typing import TextIO

COERCED = ("C.UTF-8", "C.utf8", "UTF-8")
"""What Python itself puts into ``LC_CTYPE`` under the C locale (PEP 538)."""


def are_plain(environment: Mapping[str, str], encoding: str) -> bool:
    """Tell from its environment that a terminal shows letters and dashes only."""
    if environment.get("TERM", "") in ("linux", "dumb", "vt100", "vt220"):
        return True
    category = environment.get("LC_CTYPE", "")
    if category in COERCED:
        category = ""
    locale = environment.get("LC_ALL") or category or environment.get("LANG", "")
    if locale in ("C", "POSIX"):
        return True
    return "utf" not in encoding.lower()


def tell(lines: Iterable[str], stream: TextIO | None = None) -> None:
    """Write lines for a player, at once, in the signs that the terminal shows.

    Parameters
    ----------
    stream : TextIO, optional
        Where to; standard output if not said.
    """
    goal: TextIO | None = stream or sys.stdout
    if goal is None:
        return
    text = "\n".join(lines)
    if not text.isascii() and are_plain(os.environ, goal.encoding or ""):
        from coach.screens.nearest_ascii import plain

        text = "\n".join(map(plain, text.replace("…", "...").split("\n")))
    goal.write(f"{text}\n")
    goal.flush()


def write_what_can_be_written(*streams: TextIO | None) -> None:
    """Let a sign that a stream's encoding has not become a question mark."""
    for stream in streams:
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")
