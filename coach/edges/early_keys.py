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

TOLD = 128
"""Added to the number of a signal, the exit code of what it ended (POSIX shells)."""

_before: dict[int, list[Any]] = {}
"""Terminals that keep keys for us, and how they were before."""


@contextmanager
def keep_early_keys() -> Iterator[None]:
    """Have the terminal keep keys until somebody reads them; as it was, at the end.

    It would echo them, hold lines back, and swallow Ctrl+Q and Ctrl+S as flow control.
    Ctrl+Q and Ctrl+C wait for no screen that would read them: the terminal tells the
    program, which is gone at once.  An exception might be lost in what loads.
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

    def leave(number: int, _frame: object) -> NoReturn:
        give_back()
        os._exit(0 if number == signal.SIGQUIT else TOLD + number)

    signals = (signal.SIGQUIT, signal.SIGINT)
    before = [signal.signal(number, leave) for number in signals]
    termios.tcsetattr(terminal, termios.TCSANOW, kept)
    try:
        yield
    finally:
        with suppress(termios.error, OSError):
            termios.tcsetattr(terminal, termios.TCSADRAIN, _before.pop(terminal))
        for number, handler in zip(signals, before, strict=True):
            signal.signal(number, handler)


def give_back() -> None:
    """Have the terminal as it was before it kept keys, from any thread."""
    if not _before:
        return
    import termios

    for terminal, as_it_was in _before.items():
        with suppress(termios.error, OSError):  # the terminal may be gone
            termios.tcsetattr(terminal, termios.TCSANOW, as_it_was)
