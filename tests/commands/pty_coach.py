"""The real program on a terminal of its own, as a player has it."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import sys
import termios
import threading
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

import pytest

from tests.jack_stand import PATIENCE_S, wait_until

ENTERS, LEAVES = b"\x1b[?1049h", b"\x1b[?1049l"
"""What a terminal is told when the screens come and go."""


COACH = ("-m", "coach")


class PtyCoach:
    """One coach, from its start to its end."""

    def __init__(self, home: Path, *words: str, program: Sequence[str] = COACH) -> None:
        self.written = bytearray()
        self.home = home
        (home / "tmp").mkdir(exist_ok=True)
        self._terminal, its_side = pty.openpty()
        size = struct.pack("HHHH", 24, 80, 0, 0)
        fcntl.ioctl(its_side, termios.TIOCSWINSZ, size)
        self._its_name = os.ttyname(its_side)
        environment = {
            **os.environ,
            "COACH_HOME": str(home),
            "TERM": "xterm-256color",
            "TMPDIR": str(home / "tmp"),
        }
        # Not forked: this process has threads, and what runs between fork and exec
        # may wait for a lock that one of them held.
        self.process = os.posix_spawnp(
            "setsid",
            ["setsid", "--ctty", sys.executable, *program, *words],
            environment,
            file_actions=[(os.POSIX_SPAWN_DUP2, its_side, end) for end in range(3)],
        )
        os.close(its_side)
        self._is_closed = threading.Event()
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def wait_for(self, words: str, since: int = 0) -> None:
        """Wait until something is written."""
        try:
            wait_until(lambda: words.encode() in self.written[since:])
        except AssertionError:
            seen = bytes(self.written[since:])[-2000:]
            pytest.fail(f"{words!r} did not come; {seen=}; {self.children()=}")

    def press(self, keys: str) -> int:
        """Press keys; give how much was written before."""
        before = len(self.written)
        os.write(self._terminal, keys.encode())
        return before

    def keeps_keys(self) -> bool:
        """Tell whether the terminal keeps keys for whoever will read them."""
        return not termios.tcgetattr(self._terminal)[3] & termios.ICANON

    def tell(self, number: int) -> None:
        """Send a signal."""
        os.kill(self.process, number)

    def close_window(self) -> None:
        """Take the terminal away."""
        self._is_closed.set()
        self._reader.join(PATIENCE_S)
        os.close(self._terminal)

    def stand_still(self) -> None:
        """Let the terminal take nothing more, as after Ctrl+S, and keep the window."""
        its_side = os.open(self._its_name, os.O_RDWR | os.O_NOCTTY)
        termios.tcflow(its_side, termios.TCOOFF)
        os.close(its_side)

    def end(self) -> int:
        """Wait for its end and close the window; give the exit code."""
        code = self.wait_for_end()
        if not self._is_closed.is_set():
            self._reader.join(0.5)
            self.close_window()
        return code

    def wait_for_end(self) -> int:
        """Wait for its end; give the exit code."""
        found, status = 0, 0

        def has_ended() -> bool:
            nonlocal found, status
            found, status = os.waitpid(self.process, os.WNOHANG)
            return found != 0

        try:
            wait_until(has_ended)
        except AssertionError:
            os.kill(self.process, signal.SIGKILL)
            os.waitpid(self.process, 0)
            pytest.fail(f"it did not end; it wrote {bytes(self.written)[-2000:]!r}")
        return os.waitstatus_to_exitcode(status)

    def children(self) -> list[str]:
        """Name what still runs for this coach, by its home."""
        return list(self.processes().values())

    def processes(self) -> dict[int, str]:
        """Name what still runs for this coach, by process number."""
        found = {}
        for process in Path("/proc").glob("[0-9]*"):
            with suppress(OSError):
                if f"COACH_HOME={self.home}\0" in (process / "environ").read_text():
                    found[int(process.name)] = (process / "cmdline").read_text()
        return found

    def left_folders(self) -> list[Path]:
        """List what it left in the folder for temporary files."""
        return list((self.home / "tmp").iterdir())

    def _read(self) -> None:
        """Take what is written, as a terminal does."""
        with suppress(OSError):
            while not self._is_closed.is_set():
                if select.select([self._terminal], [], [], 0.05)[0]:
                    data = os.read(self._terminal, 65536)
                    if not data:
                        break
                    self.written += data
