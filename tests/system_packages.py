"""What tests need of the system: skipped without it, failed where `CI` is set."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Mapping
from importlib.util import find_spec
from typing import NoReturn

import pytest

ASK_PORTAUDIO = "import sounddevice; print(sounddevice.query_devices())"


def need_program(program: str, package: str) -> None:
    """Go on only where a program is installed."""
    if shutil.which(program) is None:
        go_without(f"There is no {program} here: install the package {package}.")


def need_midi() -> None:
    """Go on only where the coach can speak MIDI."""
    if find_spec("rtmidi") is None:
        go_without("There is no python-rtmidi here: run the tests with --extra midi.")


def need_sound_library(environment: Mapping[str, str] | None = None) -> str:
    """Go on only where PortAudio is; give the devices that it finds."""
    asked = subprocess.run(
        [sys.executable, "-c", ASK_PORTAUDIO],
        env={**os.environ, **(environment or {})},
        capture_output=True,
        text=True,
        check=False,
    )
    if asked.returncode:
        go_without("There is no PortAudio here: install the package libportaudio2.")
    return asked.stdout


def need_sound(environment: Mapping[str, str]) -> None:
    """Go on only where PortAudio is, and finds the sound server."""
    if "pulse" not in need_sound_library(environment):
        go_without(
            "PortAudio finds no PulseAudio here: "
            "install the package libasound2-plugins."
        )


def go_without(message: str) -> NoReturn:
    """Skip the test that asks, with one line; fail it in the one check that counts."""
    if os.environ.get("CI"):
        pytest.fail(message, pytrace=False)
    pytest.skip(message)
