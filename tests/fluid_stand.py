"""A real synth on a JACK server: FluidSynth, which comes and goes."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

from tests.jack_stand import PATIENCE_S, JackServer, wait_until
from tests.system_packages import go_without, need_program

SOUNDS = Path("/usr/share/sounds/sf2/TimGM6mb.sf2")
NAME = "fsmidi"


class FluidSynth:
    """One synth; its port's name begins with `NAME`."""

    def __init__(self, server: JackServer) -> None:
        """Start it, and wait until its port is there."""
        need_program("fluidsynth", "fluidsynth")
        if not SOUNDS.exists():
            go_without(f"There is no {SOUNDS}: install the package timgm6mb-soundfont.")
        self._environment = {**os.environ, **server.environment}
        self._server = server
        names = {
            "midi.jack.server": server.name,
            "audio.jack.server": server.name,
            "midi.jack.id": NAME,
            "audio.jack.autoconnect": "0",
        }
        options = [
            word for name, value in names.items() for word in ("-o", f"{name}={value}")
        ]
        self.process = subprocess.Popen(
            ["fluidsynth", "-q", "-m", "jack", "-a", "jack", *options, str(SOUNDS)],
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            env=self._environment,
        )
        wait_until(self.is_there)

    def is_there(self) -> bool:
        """Tell whether its port is listed."""
        asked = subprocess.run(
            ["jack_lsp", "-s", self._server.name],
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=self._environment,
            text=True,
            check=False,
        )
        return f"{NAME}:midi" in asked.stdout

    def kill(self) -> None:
        """Go without a word."""
        self.process.kill()
        self.process.communicate(timeout=PATIENCE_S)
