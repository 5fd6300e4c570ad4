"""Keys that are pressed before the screens stand: kept for them, and not shown."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress


@contextmanager
def keep_early_keys() -> Iterator[None]:
    """Have the terminal keep keys until somebody reads them; as it was, at the end.

    It would echo them, hold lines back, and swallow Ctrl+Q and Ctrl+S as flow control.
    Ctrl+C interrupts as ever.
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
    termios.tcsetattr(terminal, termios.TCSANOW, kept)
    try:
        yield
    finally:
        with suppress(termios.error, OSError):  # the terminal may be gone
            termios.tcsetattr(terminal, termios.TCSADRAIN, before)
