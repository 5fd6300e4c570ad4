"""Be the child that lists sound devices: look, say what is there, and leave."""

from __future__ import annotations

import json
import sys
from dataclasses import asdict

from coach.edges.engine.scheduling import be_ordinary
from coach.edges.sound.sound_devices import list_devices
from coach.edges.sound.sound_list import SoundList
from coach.errors import GearError


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
