"""The sound devices of this machine, by name; and what to do when there is none.

The library is loaded only here, and only in the engine: it takes time, and what lies
below it writes to the terminal.
"""

from __future__ import annotations

import platform
import re
import sys
from dataclasses import dataclass
from typing import Any, Literal

from coach.errors import GearError

Way = Literal["output", "input"]

HARDWARE_PLACE = re.compile(r"\s*\(hw:\d+,\d+\)$")
"""ALSA's place of a device, which changes with every plug."""

LIBRARY_COMMANDS = {
    "debian": "sudo apt install libportaudio2",
    "fedora": "sudo dnf install portaudio",
    "arch": "sudo pacman -S portaudio",
    "suse": "sudo zypper install libportaudio2",
    "alpine": "sudo apk add portaudio",
}
BRIDGE_COMMANDS = {
    "debian": "sudo apt install libasound2-plugins",
    "fedora": "sudo dnf install alsa-plugins-pulseaudio",
    "arch": "sudo pacman -S alsa-plugins",
    "suse": "sudo zypper install alsa-plugins-pulse",
    "alpine": "sudo apk add alsa-plugins-pulse",
}
"""What brings the library, and what lets it reach a sound server, on each kind of
Linux: names of packages as each distribution lists them."""


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


def load_library() -> Any:
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
            mend_library(sys.platform, linux_family()),
        ) from error
    return sounddevice


def list_devices(way: Way) -> list[SoundDevice]:
    """List the devices that sound can go to, or come from, the system's own first."""
    library = load_library()
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
        raise GearError(
            f"This machine has no {what}.", mend_bridge(sys.platform, linux_family())
        )
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


def mend_library(system: str, family: str) -> str:
    """Tell the one command that brings the sound library."""
    if system != "linux":
        return "Install it: pip install --force-reinstall sounddevice"
    if family in LIBRARY_COMMANDS:
        return f"Install it: {LIBRARY_COMMANDS[family]}"
    return "Install PortAudio with your system's package manager."


def mend_bridge(system: str, family: str) -> str:
    """Tell what to do when no device is there."""
    if system == "linux" and family in BRIDGE_COMMANDS:
        return (
            "Plug one in; where PulseAudio or PipeWire carries the sound, "
            f"install its bridge: {BRIDGE_COMMANDS[family]}"
        )
    return "Plug one in, or allow the terminal to use it in the system's settings."


def linux_family() -> str:
    """Tell which kind of Linux this is, by its own words; empty if none is known."""
    try:
        release = platform.freedesktop_os_release()
    except OSError:
        return ""
    words = f"{release.get('ID', '')} {release.get('ID_LIKE', '')}".split()
    words += [word.partition("-")[2] and word.partition("-")[0] for word in words]
    kin = {"ubuntu": "debian", "rhel": "fedora", "opensuse": "suse"}
    for word in words:
        if (family := kin.get(word, word)) in LIBRARY_COMMANDS:
            return family
    return ""
