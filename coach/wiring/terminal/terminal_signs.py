"""Which signs this terminal shows: one answer for screens and lines of text."""

from __future__ import annotations

from collections.abc import Mapping
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


def write_what_can_be_written(*streams: TextIO | None) -> None:
    """Let a sign that a stream's encoding has not become a question mark."""
    for stream in streams:
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")
