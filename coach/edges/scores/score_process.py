"""Ask a child process to read scores, and never wait for it too long."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import asdict
from typing import Any, Self, cast

from coach.config import PACKAGE
from coach.edges.left_folders import hold_folder
from coach.edges.scores.score_limits import read_score_limits, unreadable
from coach.edges.scores.score_request import Request
from coach.errors import ConfigError, ScoreError

CHILD = "coach.edges.scores.in_child.score_child"
CLEARS_UP_S, LOOKS_EVERY_S = 0.2, 0.01
"""How long a reading that is ended may take to clear up, and how often to look whether
another was begun meanwhile: our own choice, so that leaving takes no time."""
QUIET_LOOKS = 3
"""After so many looks that found none, none comes any more."""

_running: dict[subprocess.Popen[bytes], str] = {}
"""Children that are not cleared up yet, each with its folder."""

_told = threading.Condition()

SHORTER = "Choose a shorter score, or export it again as MusicXML."


class ScoreChild:
    """A child that reads scores one after another, each within limits of its own.

    It begins when it is first asked.  One that gave no answer or an error is ended,
    and the next score is read by a fresh one: a bad score ends only itself.  It gets a
    private folder for temporary files, so that nobody can leave something there for it
    to find, and modules only from where this program is.
    """

    def __init__(self) -> None:
        self._process: subprocess.Popen[bytes] | None = None
        self._held = ExitStack()

    def __enter__(self) -> Self:
        """Give the child; it need not have begun."""
        return self

    def __exit__(self, *_: object) -> None:
        """End the child."""
        self.end()

    def ask(self, request: Request, content: bytes) -> dict[str, Any]:
        """Give the answer about a score; raise ScoreError when there is none."""
        is_fresh = self._process is None
        answer, code = self._exchange(request, content)
        if not is_fresh and _is_for_want_of_room(answer, code):
            answer, code = self._exchange(request, content)
        return _unwrap(request, answer, code)

    def stop(self) -> None:
        """End what it reads at once; whoever asked is told, and clears up."""
        process = self._process
        if process is not None:
            process.kill()

    def end(self) -> None:
        """End the child and clear up after it."""
        process, self._process = self._process, None
        if process is not None:
            process.kill()
            process.communicate()
        self._held.close()

    def _exchange(self, request: Request, content: bytes) -> tuple[bytes, int]:
        """Send a score and wait for the answer: a line, else how the child ended."""
        process = self._process or self._begin()
        wall_s = read_score_limits().wall_s
        is_late = threading.Event()

        def give_up() -> None:
            is_late.set()
            process.kill()

        watch = threading.Timer(wall_s, give_up)
        watch.daemon = True
        watch.start()
        answer, code = b"", 0
        try:
            answer = _send(process, request, content)
            if not answer.endswith(b"\n"):
                code = process.wait()
        finally:
            watch.cancel()
            if not answer.endswith(b"\n") or answer.startswith(b'{"error"'):
                self.end()
        if is_late.is_set() and not answer:
            raise unreadable(
                request.name, f"takes longer than {wall_s:g} s to read", SHORTER
            )
        return answer, code

    def _begin(self) -> subprocess.Popen[bytes]:
        """Start the child."""
        note = self._held.enter_context(_noting())
        folder, holds = self._held.enter_context(hold_folder())
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-m", CHILD],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=_environment(folder),
            pass_fds=holds,
        )
        note(self._process, folder)
        return self._process


def _send(process: subprocess.Popen[bytes], request: Request, content: bytes) -> bytes:
    """Send a score, and read the line that answers; nothing from one that ended."""
    asked = {**asdict(request), "bytes_count": len(content)}
    with suppress(OSError):
        process.stdin.write(json.dumps(asked).encode() + b"\n" + content)  # type: ignore[union-attr]
        process.stdin.flush()  # type: ignore[union-attr]
    return process.stdout.readline()  # type: ignore[union-attr]


def _is_for_want_of_room(answer: bytes, code: int) -> bool:
    """Tell whether a score failed in a child that others had filled, or that was gone.

    One that ran out of its own computing time failed by itself.
    """
    if not answer:
        return code != -getattr(signal, "SIGXCPU", 0)
    return answer.startswith(b'{"error":["memory"')


def stop_reading() -> None:
    """End all children, and wait a moment until whoever asked them has cleared up.

    What they had no time for is cleared up here.
    """
    with _told:
        quiet = 0
        for _ in range(round(CLEARS_UP_S / LOOKS_EVERY_S)):
            quiet = 0 if _running else quiet + 1
            if quiet == QUIET_LOOKS:
                return
            for child in _running:
                child.kill()
            _told.wait(LOOKS_EVERY_S)
        for folder in _running.values():
            shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def _noting() -> Iterator[Callable[[subprocess.Popen[bytes], str], None]]:
    """Take note of a child and its folder until all that it needed is cleared up."""
    noted: list[subprocess.Popen[bytes]] = []

    def note(child: subprocess.Popen[bytes], folder: str) -> None:
        noted.append(child)
        with _told:
            _running[child] = folder

    try:
        yield note
    finally:
        with _told:
            for child in noted:
                del _running[child]
            _told.notify_all()


def _environment(folder: str) -> dict[str, str]:
    """Make the child's environment: its own temporary folder, and our package."""
    path = [str(PACKAGE.parent), os.environ.get("PYTHONPATH", "")]
    temporary = dict.fromkeys(("TMPDIR", "TEMP", "TMP"), folder)
    found = os.pathsep.join(filter(None, path))
    return {**os.environ, **temporary, "PYTHONPATH": found}


def _unwrap(request: Request, answer: bytes, code: int) -> dict[str, Any]:
    """Read the answer; turn an error in words into an exception."""
    try:
        answered = cast(dict[str, Any], json.loads(answer))
    except ValueError as error:
        is_out_of_time = hasattr(signal, "SIGXCPU") and code == -signal.SIGXCPU
        why = "takes too long to read" if is_out_of_time else "made the reader stop"
        raise unreadable(request.name, why, SHORTER) from error
    if "error" in answered:
        kind, message, hint = answered["error"]
        raise (ConfigError if kind == "config" else ScoreError)(message, hint)
    return answered
