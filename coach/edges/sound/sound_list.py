"""List the sound devices in a process of its own.

The library sees new devices only when it begins anew, which would end what sounds; and
what it loads may hang or fail.  So a child looks, and says what it found.
"""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import dataclass

CHILD = "coach.edges.sound.in_child.sound_list_child"

PATIENCE_S = 8.0
"""How long a look may take: our own choice; some drivers take seconds."""


@dataclass(frozen=True, slots=True)
class SoundList:
    """What there is."""

    outputs: tuple[str, ...]
    """Devices that sound can go to, the system's own choice first."""

    inputs: tuple[str, ...]
    """Microphones, the system's own choice first."""

    remark: str = ""
    """Why the list is empty, and what mends it."""


def list_apart() -> SoundList:
    """Look for sound devices in a child process."""
    try:
        child = subprocess.run(
            [sys.executable, "-m", CHILD],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            timeout=PATIENCE_S,
            check=True,
        )
        words = json.loads(child.stdout)
    except (OSError, subprocess.SubprocessError, ValueError):
        return SoundList((), (), "The sound devices cannot be listed.")
    return SoundList(tuple(words["outputs"]), tuple(words["inputs"]), words["remark"])
