"""Ask the child process to engrave lines, and never wait for it.

The process starts with the first request and ends with the program.  One that hangs or
crashes is ended; after a second time nothing more is engraved.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import IO, Any, Literal, cast

from coach.config import PACKAGE
from coach.edges.engraving.engraving_settings import read_engraving_limits
from coach.edges.engraving.terminal_graphics import Graphics, measure_cell

CHILD = "coach.edges.engraving.in_child.engraver_child"
MOST_FAILURES = 2

Tell = Callable[[int, int, str, Mapping[str, float]], None]


def child_environment() -> dict[str, str]:
    """Give what the process is started in: it finds modules only where we are."""
    path = [str(PACKAGE.parent), os.environ.get("PYTHONPATH", "")]
    return {**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, path))}


@dataclass(frozen=True, slots=True)
class _Request:
    """What is asked for."""

    lines: Iterable[tuple[str, int, bool]]
    """MEI, width in pixels, and whether it may be narrower; each when its turn is."""

    height: int
    """Pixels of each picture."""

    cell: tuple[int, int]
    """Pixels of a cell of the terminal."""

    colours: tuple[str, str, str]
    """Ink, staff lines and paper."""

    tell: Tell
    """Takes each picture."""


class Engraver:
    """Engraves lines on a thread and in a process of its own.

    Parameters
    ----------
    graphics : Graphics
        How the terminal wants its pictures.
    cell : tuple or None
        Pixels of a cell where the system does not tell them.
    """

    def __init__(
        self,
        graphics: Graphics,
        cell: tuple[int, int] | None = None,
        command: tuple[str, ...] = (sys.executable, "-P", "-m", CHILD),
    ) -> None:
        self._graphics = graphics
        self._cell = cell
        self._command = command
        self._asked = threading.Condition()
        self._waiting: _Request | None = None
        self._failures = 0
        self._is_closed = False
        self._process: subprocess.Popen[bytes] | None = None
        self._thread: threading.Thread | None = None

    @property
    def graphics(self) -> Literal["sixel", "kitty"]:
        """How the terminal wants its pictures."""
        return self._graphics

    def cell_pixels(self) -> tuple[int, int] | None:
        """Give width and height of a cell as they are now."""
        return measure_cell() or self._cell

    def engrave(
        self,
        lines: Iterable[tuple[str, int, bool]],
        height: int,
        colours: tuple[str, str, str],
        tell: Tell,
    ) -> None:
        """Engrave lines soon; what waits is forgotten for what is asked later."""
        cell = self.cell_pixels()
        if cell is None or self._failures >= MOST_FAILURES:
            return
        with self._asked:
            if self._is_closed:
                return
            self._waiting = _Request(lines, height, cell, colours, tell)
            self._asked.notify()
            if self._thread is None:
                self._thread = threading.Thread(
                    target=self._work, name="engraver", daemon=True
                )
                self._thread.start()

    def close(self) -> None:
        """End thread and process."""
        with self._asked:
            self._is_closed = True
            self._asked.notify()
        self._end_process()
        if self._thread is not None:
            self._thread.join()

    def _work(self) -> None:
        """Hand requests to the process, one after the other."""
        while True:
            with self._asked:
                self._asked.wait_for(lambda: self._waiting or self._is_closed)
                request, self._waiting = self._waiting, None
                if self._is_closed or request is None:
                    break
            try:
                self._hand_on(request)
            except (OSError, ValueError, KeyError, TypeError):
                self._failures += 1
                self._end_process()
            if self._failures >= MOST_FAILURES:
                break
        self._end_process()

    def _hand_on(self, request: _Request) -> None:
        """Have all lines sized, then drawn one by one, until others are asked for."""
        limits = read_engraving_limits()
        lines = list(request.lines)
        common = {"height": request.height, "cell": request.cell}
        sizes = self._ask(
            {"do": "size", "lines": lines, **common},
            limits.start_s + limits.line_s * len(lines),
        )
        if "refused" in sizes:
            return
        common |= {"space": sizes["space"], "top": sizes["top"]}
        for k, (line, width) in enumerate(zip(lines, sizes["widths"], strict=True)):
            if self._waiting is not None or self._is_closed:
                return
            drawn = self._ask(
                {
                    "do": "draw",
                    "mei": line[0],
                    "width": width,
                    "colours": request.colours,
                    "graphics": self._graphics,
                    **common,
                },
                limits.start_s,
            )
            if "refused" not in drawn:
                request.tell(k, width, drawn["picture"], drawn["heads"])

    def _ask(self, question: dict[str, Any], limit: float) -> dict[str, Any]:
        """Give the process's answer; it is ended if that takes too long."""
        process = self._started()
        stdin, stdout = cast(IO[bytes], process.stdin), cast(IO[bytes], process.stdout)
        timer = threading.Timer(limit, process.kill)
        timer.daemon = True
        timer.start()
        try:
            stdin.write(json.dumps(question).encode() + b"\n")
            stdin.flush()
            return cast(dict[str, Any], json.loads(stdout.readline()))
        finally:
            timer.cancel()

    def _started(self) -> subprocess.Popen[bytes]:
        """Give the process, started when there is none."""
        with self._asked:
            if self._is_closed:
                raise ValueError
            if self._process is None or self._process.poll() is not None:
                self._process = self._start()
            return self._process

    def _start(self) -> subprocess.Popen[bytes]:
        """Start the process."""
        return subprocess.Popen(
            self._command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=child_environment(),
            start_new_session=True,
        )

    def _end_process(self) -> None:
        """End the process, whatever it does."""
        with self._asked:
            process, self._process = self._process, None
        if process is None:
            return
        process.kill()
        process.wait()
        for stream in (process.stdin, process.stdout):
            if stream is not None:
                with suppress(OSError):
                    stream.close()
