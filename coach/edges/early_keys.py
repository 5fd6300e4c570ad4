"""Keys that are pressed before the screens stand: kept for them, and not shown."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import Any, NoReturn

QUIT = b"\x11"
"""What Ctrl+Q sends."""

_before: dict[int, list[Any]] = {}
"""Terminals that keep keys for us, and how they were before."""


@contextmanager
def keep_early_keys() -> Iterator[None]:
    """Have the terminal keep keys until somebody reads them; as it was, at the end.

    It would echo them, hold lines back, and swallow Ctrl+Q and Ctrl+S as flow control.
    Ctrl+C interrupts as ever.  Ctrl+Q waits for no screen that would read it: the
    terminal tells the program, which is gone at once.
    """
    try:
        import termios
    except ImportError:
        yield
        return
    terminal = sys.stdin.fileno()
    _before[terminal] = termios.tcgetattr(terminal)
    kept = termios.tcgetattr(terminal)
    kept[0] &= ~(termios.IXON | termios.ICRNL)
    kept[3] &= ~(termios.ECHO | termios.ICANON)
    kept[6][termios.VQUIT] = QUIT

    def leave(_number: int, _frame: object) -> NoReturn:
        give_back()
        os._exit(0)

    quits = signal.signal(signal.SIGQUIT, leave)
    termios.tcsetattr(terminal, termios.TCSANOW, kept)
    try:
        yield
    finally:
        with suppress(termios.error, OSError):
            termios.tcsetattr(terminal, termios.TCSADRAIN, _before.pop(terminal))
        signal.signal(signal.SIGQUIT, quits)


def give_back() -> None:
    """Have the terminal as it was before it kept keys, from any thread."""
    if not _before:
        return
    import termios

    for terminal, as_it_was in _before.items():
        with suppress(termios.error, OSError):  # the terminal may be gone
            termios.tcsetattr(terminal, termios.TCSANOW, as_it_was)
