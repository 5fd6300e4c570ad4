"""Ask the child process to read a score, and never wait for it too long."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from dataclasses import asdict
from tempfile import TemporaryDirectory
from typing import Any, cast

from coach.config import PACKAGE
from coach.edges.scores.score_limits import read_limits, unreadable
from coach.edges.scores.score_request import Request
from coach.errors import ConfigError, ScoreError

CHILD = "coach.edges.scores.in_child.score_child"
SHORTER = "Choose a shorter score, or export it again as MusicXML."


def ask_child(request: Request, content: bytes) -> dict[str, Any]:
    """Give the child's answer; raise ScoreError when there is none.

    The child gets a private folder for temporary files, so that nobody can leave
    something there for it to find, and modules only from where this program is.
    """
    wall_s = read_limits().wall_s
    question = json.dumps(asdict(request)).encode() + b"\n" + content
    with TemporaryDirectory(prefix="coach-") as folder:
        child = subprocess.Popen(
            [sys.executable, "-P", "-m", CHILD],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env=_environment(folder),
        )
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
