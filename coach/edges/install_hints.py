"""The one command that brings what is missing, on each kind of system.

Names of packages are those under which each distribution lists them.
"""

from __future__ import annotations

import platform
import sys

LIBRARY_COMMANDS = {
    "debian": "sudo apt install libportaudio2",
    "fedora": "sudo dnf install portaudio",
    "arch": "sudo pacman -S portaudio",
    "suse": "sudo zypper install libportaudio2",
    "alpine": "sudo apk add portaudio",
}
"""What brings the sound library."""

BRIDGE_COMMANDS = {
    "debian": "sudo apt install libasound2-plugins",
    "fedora": "sudo dnf install alsa-plugins-pulseaudio",
    "arch": "sudo pacman -S alsa-plugins",
    "suse": "sudo zypper install alsa-plugins-pulse",
    "alpine": "sudo apk add alsa-plugins-pulse",
}
"""What lets the sound library reach a sound server."""

KIN = {"ubuntu": "debian", "rhel": "fedora", "opensuse": "suse"}
"""Which words of a system's own mean which kind."""


def mend_library(system: str = sys.platform, family: str | None = None) -> str:
    """Tell the command that brings the sound library."""
    family = linux_family() if family is None else family
    if system != "linux":
        return "Install it: pip install --force-reinstall sounddevice"
    if family in LIBRARY_COMMANDS:
        return f"Install it: {LIBRARY_COMMANDS[family]}"
    return "Install PortAudio with your system's package manager."


def mend_bridge(system: str = sys.platform, family: str | None = None) -> str:
    """Tell what to do when no sound device is there."""
    family = linux_family() if family is None else family
    if system == "linux" and family in BRIDGE_COMMANDS:
        return (
            "Plug one in; where PulseAudio or PipeWire carries the sound, "
            f"install its bridge: {BRIDGE_COMMANDS[family]}"
        )
    return "Plug one in, or allow the terminal to use it in the system's settings."


def mend_midi(system: str = sys.platform) -> str:
    """Tell the command that brings MIDI to a machine that has none."""
    if system == "linux":
        return "To have one: sudo modprobe snd-seq"
    return "Plug in an instrument, then look again: coach gear"


def linux_family() -> str:
    """Tell which kind of Linux this is, by its own words; empty if none is known."""
    try:
        release = platform.freedesktop_os_release()
    except OSError:
        return ""
    return family_of(f"{release.get('ID', '')} {release.get('ID_LIKE', '')}")


def family_of(words: str) -> str:
    """Tell which kind of Linux calls itself so.

    >>> family_of("ubuntu debian"), family_of("opensuse-tumbleweed suse")
    ('debian', 'suse')
    """
    for word in words.split():
        if (family := KIN.get(word, word)) in LIBRARY_COMMANDS:
            return family
    return ""
