"""Keys that are pressed before the screens stand: kept for them, and not shown."""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import NoReturn

QUIT = b"\x11"
"""What Ctrl+Q sends."""


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
    before = termios.tcgetattr(terminal)
    kept = termios.tcgetattr(terminal)
    kept[0] &= ~(termios.IXON | termios.ICRNL)
    kept[3] &= ~(termios.ECHO | termios.ICANON)
    kept[6][termios.VQUIT] = QUIT

    def leave(_number: int, _frame: object) -> NoReturn:
        with suppress(termios.error, OSError):  # the terminal may be gone
            termios.tcsetattr(terminal, termios.TCSANOW, before)
        os._exit(0)

    quits = signal.signal(signal.SIGQUIT, leave)
    termios.tcsetattr(terminal, termios.TCSANOW, kept)
    try:
        yield
    finally:
        with suppress(termios.error, OSError):
            termios.tcsetattr(terminal, termios.TCSADRAIN, before)
        signal.signal(signal.SIGQUIT, quits)
