"""A terminal for a child process: a pty of a given size that is read all the time."""

from __future__ import annotations

import fcntl
import os
import pty
import struct
import sys
import termios
from collections.abc import Callable, Sequence
from pathlib import Path

ROOT = Path(__file__).parents[2]
BLOCK = 1 << 16


def run_in_terminal(
    arguments: Sequence[str],
    size: tuple[int, int],
    home: str,
    seen: Callable[[bytes], None] = lambda _: None,
    begun: Callable[[int], None] = lambda _: None,
) -> None:
    """Run Python with arguments until it ends; hand what it writes to `seen`.

    Who types is handed the terminal by `begun`, to write keys to.
    """
    child, terminal = pty.fork()
    if child == 0:
        environment = {
            **os.environ,
            "COACH_HOME": home,
            "COLORTERM": "truecolor",
            "TERM": "xterm-256color",
            "PYTHONPATH": str(ROOT),
        }
        for name in ("NO_COLOR", "PYTHONDONTWRITEBYTECODE"):
            environment.pop(name, None)
        os.execve(sys.executable, [sys.executable, *arguments], environment)
    fcntl.ioctl(
        terminal, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0)
    )
    begun(terminal)
    while True:
        try:
            data = os.read(terminal, BLOCK)
        except OSError:  # Linux says so where others give an empty block.
            break
        if not data:
            break
        seen(data)
    os.waitpid(child, 0)
    os.close(terminal)
