"""List the sound devices in a process of its own.

The library sees new devices only when it begins anew, which would end what sounds; and
what it loads may hang or fail.  So a child looks, and says what it found.
"""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import asdict, dataclass

from coach.edges.engine.scheduling import be_ordinary
from coach.edges.sound.sound_devices import list_devices
from coach.errors import GearError

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
            [sys.executable, "-m", "coach.edges.sound.sound_list"],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            timeout=PATIENCE_S,
            check=True,
        )
        words = json.loads(child.stdout)
    except (OSError, subprocess.SubprocessError, ValueError):
        return SoundList((), (), "The sound devices cannot be listed.")
    return SoundList(tuple(words["outputs"]), tuple(words["inputs"]), words["remark"])


def list_here() -> SoundList:
    """Look for sound devices in this process."""
    try:
        outputs, inputs = list_devices("output"), list_devices("input")
    except GearError as error:
        return SoundList((), (), str(error))
    return SoundList(
        tuple(device.name for device in outputs),
        tuple(device.name for device in inputs),
    )


if __name__ == "__main__":
    be_ordinary()
    sys.stdout.write(json.dumps(asdict(list_here())))
