"""Ask the child process to read a score, and never wait for it too long."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict
from typing import Any, cast

from coach.config import PACKAGE
from coach.edges.left_folders import hold_folder
from coach.edges.scores.score_limits import read_limits, unreadable
from coach.edges.scores.score_request import Request
from coach.errors import ConfigError, ScoreError

CHILD = "coach.edges.scores.in_child.score_child"
CLEARS_UP_S, LOOKS_EVERY_S = 0.2, 0.01
"""How long a reading that is ended may take to clear up, and how often to look whether
another was begun meanwhile: our own choice, so that leaving takes no time."""
QUIET_LOOKS = 3
"""After so many looks that found none, none comes any more."""

_running: set[subprocess.Popen[bytes]] = set()
_told = threading.Condition()

SHORTER = "Choose a shorter score, or export it again as MusicXML."


def ask_child(request: Request, content: bytes) -> dict[str, Any]:
    """Give the child's answer; raise ScoreError when there is none.

    The child gets a private folder for temporary files, so that nobody can leave
    something there for it to find, and modules only from where this program is.
    """
    wall_s = read_limits().wall_s
    question = json.dumps(asdict(request)).encode() + b"\n" + content
    with _noting() as note, hold_folder() as (folder, holds):
        child = subprocess.Popen(
            [sys.executable, "-P", "-m", CHILD],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env=_environment(folder),
            pass_fds=holds,
        )
        note(child)
        try:
            answer, _ = child.communicate(question, timeout=wall_s)
        except subprocess.TimeoutExpired as error:
            raise unreadable(
                request.name, f"takes longer than {wall_s:g} s to read", SHORTER
            ) from error
        finally:
            if child.poll() is None:
                child.kill()
                child.communicate()
    return _unwrap(request, answer, child.returncode)


def stop_reading() -> None:
    """End all children, and wait a moment until whoever asked them has cleared up."""
    with _told:
        quiet = 0
        for _ in range(round(CLEARS_UP_S / LOOKS_EVERY_S)):
            quiet = 0 if _running else quiet + 1
            if quiet == QUIET_LOOKS:
                return
            for child in _running:
                child.kill()
            _told.wait(LOOKS_EVERY_S)


@contextmanager
def _noting() -> Iterator[Callable[[subprocess.Popen[bytes]], None]]:
    """Take note of a child until all that it needed is cleared up."""
    noted: list[subprocess.Popen[bytes]] = []

    def note(child: subprocess.Popen[bytes]) -> None:
        noted.append(child)
        with _told:
            _running.add(child)

    try:
        yield note
    finally:
        with _told:
            _running.difference_update(noted)
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
