"""The sound devices of this machine, by name; and what to do when there is none.

The library is loaded only here, and only in the engine: it takes time, and what lies
below it writes to the terminal.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any, Literal

from coach.edges.install_hints import mend_bridge, mend_library
from coach.errors import GearError

Way = Literal["output", "input"]

HARDWARE_PLACE = re.compile(r"\s*\(hw:\d+,\d+\)$")
"""ALSA's place of a device, which changes with every plug."""


@dataclass(frozen=True, slots=True)
class SoundDevice:
    """A device that is there."""

    index: int
    """Its number in the library's list."""

    name: str
    """Its name, without what changes with every plug."""

    way: Way
    """Whether sound goes to it or comes from it."""

    channels: int
    """How many it has, this way."""


def load_sound_library() -> Any:
    """Load the sound library; `GearError` with what mends it when that fails."""
    try:
        import sounddevice
    except ImportError as error:
        raise GearError(
            "The built-in sound needs the Python module “sounddevice”.",
            "Install it: pip install sounddevice",
        ) from error
    except OSError as error:
        raise GearError(
            "The built-in sound needs the library PortAudio, which is not there.",
            mend_library(),
        ) from error
    return sounddevice


def list_devices(way: Way) -> list[SoundDevice]:
    """List the devices that sound can go to, or come from, the system's own first."""
    library = load_sound_library()
    try:
        devices, systems = library.query_devices(), library.query_hostapis()
    except library.PortAudioError as error:
        raise GearError(f"The sound devices cannot be listed: {error}.") from error
    usual = library.default.device[way]
    system = devices[usual]["hostapi"] if usual >= 0 else 0
    found = [
        SoundDevice(
            index,
            HARDWARE_PLACE.sub("", str(device["name"])),
            way,
            int(device[f"max_{way}_channels"]),
        )
        for index, device in enumerate(devices)
        if device["hostapi"] == system and device[f"max_{way}_channels"] > 0
    ]
    return sorted(found, key=lambda device: device.index != usual) if systems else []


def find_device(wanted: str, way: Way) -> SoundDevice:
    """Find a device by its name or a part of it; empty for the system's own.

    Raises
    ------
    GearError
        If it is not there; lists what is.
    """
    found = list_devices(way)
    what = "sound device" if way == "output" else "microphone"
    if not found:
        raise GearError(f"This machine has no {what}.", mend_bridge())
    if not wanted:
        return found[0]
    exact = [device for device in found if device.name == wanted]
    inside = [device for device in found if wanted.lower() in device.name.lower()]
    if not (exact or inside):
        names = ", ".join(device.name for device in found)
        raise GearError(f"The {what} “{wanted}” is not there.", f"There are: {names}.")
    return (exact or inside)[0]


def choose_another(way: Way) -> str:
    """Tell how to choose another device."""
    option = "--sound-out" if way == "output" else "--microphone"
    return f"Choose another with: coach gear {option} NAME"
