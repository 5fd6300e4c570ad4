"""Come to an end as a player means it: with everything kept, and at once."""

from __future__ import annotations

import errno
import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import NoReturn

EXIT_INTERRUPTED = 130
"""Exit code of a program that was told to end."""

TOLD = ("SIGTERM", "SIGHUP")
"""Told to end, or the terminal's window is closed."""


@contextmanager
def interrupt_when_told() -> Iterator[None]:
    """Take being told to end as Ctrl+C: whatever is under way is kept and cleared."""
    before = {}
    with suppress(ValueError):  # in a thread that gets no signals
        for number in (getattr(signal, name, None) for name in TOLD):
            if number is not None:
                before[number] = signal.signal(number, _interrupt)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def fall_silent(error: OSError) -> int | None:
    """Write no more where nobody reads; give the exit code, None for another error."""
    if error.errno not in (errno.EPIPE, errno.EIO):
        return None
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0 if error.errno == errno.EPIPE else EXIT_INTERRUPTED


def leave_at_once(code: int) -> NoReturn:
    """End without taking the program apart, which takes longer than a player waits."""
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError, ValueError):
            stream.flush()
    os._exit(code)


def _interrupt(_number: int, _frame: object) -> NoReturn:
    raise KeyboardInterrupt
