"""The player's own editor, as the system names it."""

from __future__ import annotations

import os
import shlex
import subprocess
from pathlib import Path

from coach.errors import CoachError


def find_editor() -> list[str]:
    """Give the command of the player's editor; nothing where none is named."""
    for name in ("VISUAL", "EDITOR"):
        try:
            words = shlex.split(os.environ.get(name, ""))
        except ValueError as error:
            raise CoachError(
                f"{name} makes no sense as a command: {os.environ[name]}.",
                "Mend it, or say --on-screen.",
            ) from error
        if words:
            return words
    return []


def edit(path: Path, editor: list[str]) -> None:
    """Let the player edit a file, and wait until the editor ends."""
    try:
        code = subprocess.run([*editor, str(path)], check=False).returncode
    except OSError as error:
        raise CoachError(
            f"The editor “{editor[0]}” cannot be started: {error.strerror}.",
            "Name another in EDITOR, or say --on-screen.",
        ) from error
    if code != 0:
        raise CoachError(
            f"The editor “{editor[0]}” ended with {code}; {path} is as it left it.",
            "Open it again, or say --on-screen.",
        )
