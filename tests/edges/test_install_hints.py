"""The one command that mends what is missing, on each kind of system."""

from __future__ import annotations

import pytest

from coach.edges.install_hints import family_of, mend_bridge, mend_library, mend_midi


@pytest.mark.parametrize(
    ("words", "command"),
    [
        ("debian", "apt install libportaudio2"),
        ("ubuntu debian", "apt install libportaudio2"),
        ("linuxmint ubuntu debian", "apt install libportaudio2"),
        ("fedora", "dnf install portaudio"),
        ("manjaro arch", "pacman -S portaudio"),
        ("opensuse-tumbleweed opensuse suse", "zypper install libportaudio2"),
    ],
)
def test_each_kind_of_linux_has_its_command(words: str, command: str) -> None:
    """Package names as each distribution's own package index lists them, as remembered
    but for Debian's, which the tests install."""
    assert command in mend_library("linux", family_of(words))


def test_an_unknown_linux_is_told_what_to_look_for() -> None:
    assert "PortAudio" in mend_library("linux", family_of("unheard-of"))


@pytest.mark.parametrize("system", ["darwin", "win32"])
def test_elsewhere_the_library_comes_with_the_module(system: str) -> None:
    assert "pip install" in mend_library(system, "")
    assert "system's settings" in mend_bridge(system, "")
    assert "coach gear" in mend_midi(system)


def test_a_sound_server_wants_its_bridge() -> None:
    assert "libasound2-plugins" in mend_bridge("linux", "debian")
    assert "modprobe" in mend_midi("linux")
