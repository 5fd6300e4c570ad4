"""A line for what takes longer than a moment, so that nobody thinks it hangs."""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress

SLOW_S = 0.5
"""From here on a player wonders whether anything happens; our own choice."""

AGAIN_S = 5.0
"""So often it is said how long it has taken; our own choice."""


@contextmanager
def say_when_slow(
    words: str, *, slow_s: float = SLOW_S, again_s: float = AGAIN_S
) -> Iterator[None]:
    """Say on standard error what is under way, where somebody reads it there.

    Whole lines, since they are read aloud to some: no cursor is moved.
    """
    if not sys.stderr.isatty():
        yield
        return
    done = threading.Event()
    teller = threading.Thread(
        target=_tell, args=(done, words, slow_s, again_s), daemon=True
    )
    teller.start()
    try:
        yield
    finally:
        done.set()
        teller.join()


def _tell(done: threading.Event, words: str, slow_s: float, again_s: float) -> None:
    """Tell now and then, until it is done."""
    passed = slow_s
    if done.wait(slow_s):
        return
    with suppress(OSError, ValueError):
        print(f"{words} … Ctrl+C stops it.", file=sys.stderr, flush=True)
        while not done.wait(again_s):
            passed += again_s
            print(f"{words} … {passed:.0f} s", file=sys.stderr, flush=True)
