"""Come to an end as a player means it: with everything kept, and at once."""

from __future__ import annotations

import errno
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import NoReturn

from coach.edges.early_keys import give_back

EXIT_INTERRUPTED = 130
"""Exit code of a program that was told to end."""

EXIT_FULL = 1
"""Exit code where there is no room for what was asked for."""

SILENCED = {
    errno.EPIPE: 0,
    errno.EIO: EXIT_INTERRUPTED,
    errno.ENOSPC: EXIT_FULL,
    errno.EDQUOT: EXIT_FULL,
}
"""What comes of writing where nobody reads on, no terminal is left, or no room."""

LEAVE_S = 5.0
"""How long leaving may take, in seconds: our own choice; it takes a third of one."""

CLOSE_S = 1.0
"""How long closing may take once leaving hangs, in seconds: our own choice."""

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
    if error.errno not in SILENCED:
        return None
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return SILENCED[error.errno]


def leave_at_once(code: int) -> NoReturn:
    """End without taking the program apart, which takes longer than a player waits."""
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError, ValueError):
            stream.flush()
    os._exit(code)


def leave_within(close: Callable[[], None], seconds: float = LEAVE_S) -> None:
    """End by then, with all that `close` ends, whatever the main thread waits for.

    A terminal that is gone, or stands still, takes no last word; a program that
    waits for it would wait for ever.
    """
    timer = threading.Timer(seconds, _end_from_outside, (close,))
    timer.daemon = True
    timer.start()


def quit_from_outside(close: Callable[[], None], code: int) -> NoReturn:
    """Quit from beside a main thread that is busy; the terminal is given back.

    `leave_within` sees to it that this comes to an end.
    """
    close()
    give_back()
    os._exit(code)


def _end_from_outside(close: Callable[[], None]) -> NoReturn:
    """End the program from beside a main thread that hangs."""
    closing = threading.Thread(target=close, daemon=True)
    closing.start()
    closing.join(CLOSE_S)
    os._exit(EXIT_INTERRUPTED)


def _interrupt(_number: int, _frame: object) -> NoReturn:
    raise KeyboardInterrupt
