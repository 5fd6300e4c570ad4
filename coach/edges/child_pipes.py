"""What child processes have in common: two pipes, and that they come to an end."""

from __future__ import annotations

import os
import signal
from typing import BinaryIO

LEAVE_WITHIN_S = 3
"""How long letting gear go may take once it is asked for: our own choice."""


def take_pipes() -> tuple[BinaryIO, BinaryIO]:
    """Take the pipes for ourselves: libraries write where they like."""
    words, facts = os.dup(0), os.dup(1)
    nowhere = os.open(os.devnull, os.O_RDONLY)
    os.dup2(nowhere, 0)
    os.close(nowhere)
    os.dup2(2, 1)
    return os.fdopen(words, "rb"), os.fdopen(facts, "wb")


def end_by_alarm(seconds: int = LEAVE_WITHIN_S) -> None:
    """Have the system end this process by then, even if a driver holds it.

    No thread of ours could: a driver may hold the interpreter too.
    """
    if hasattr(signal, "alarm"):
        signal.alarm(seconds)
