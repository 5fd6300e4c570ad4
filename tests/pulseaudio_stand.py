"""A PulseAudio server without a sound card: real sound out and microphone in for tests.

Its null sink takes whatever is played, and the sink's monitor is the microphone; an
independent program records the monitor, so that what was heard can be looked at.
The server has real-time priority where the system grants it, as on a desktop.
"""

from __future__ import annotations

import os
import signal
import subprocess
import tempfile
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tests.jack_stand import PATIENCE_S, may_hurry, wait_until
from tests.system_packages import need_program, need_sound

RATE_HZ = 48_000
SINK = "coach"
PACKAGES = {
    "pulseaudio": "pulseaudio",
    "pactl": "pulseaudio-utils",
    "parec": "pulseaudio-utils",
}


class PulseServer:
    """One server in a folder of its own."""

    def __init__(self) -> None:
        for program, package in PACKAGES.items():
            need_program(program, package)
        self._folder = tempfile.TemporaryDirectory(prefix="coach-pulse-")
        self.folder = Path(self._folder.name)
        self.environment = {
            "PULSE_SERVER": f"unix:{self.folder}/native",
            "JACK_NO_START_SERVER": "1",
        }
        self.start()
        try:
            need_sound(self.environment)
        except BaseException:
            self.close()
            raise

    def start(self) -> None:
        """Run, and wait until clients can come."""
        self.process = subprocess.Popen(
            [
                *("pulseaudio", "-n", "--daemonize=no", "--exit-idle-time=-1"),
                *(("--realtime=yes", "--high-priority=yes") if may_hurry() else ()),
                *(
                    "-L",
                    f"module-null-sink sink_name={SINK} rate={RATE_HZ} channels=2"
                    " format=float32le",
                ),
                *(
                    "-L",
                    "module-native-protocol-unix auth-anonymous=1 "
                    f"socket={self.folder}/native",
                ),
            ],
            env={
                **os.environ,
                "HOME": str(self.folder),
                "XDG_RUNTIME_DIR": str(self.folder),
            },
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        wait_until(self.is_ready)

    def is_ready(self) -> bool:
        """Tell whether clients can come."""
        assert self.process.poll() is None, "pulseaudio has ended"
        return self.ask("info").returncode == 0

    def ask(self, *words: str) -> subprocess.CompletedProcess[str]:
        """Ask the server something."""
        return subprocess.run(
            ["pactl", *words],
            env={**os.environ, **self.environment},
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            timeout=PATIENCE_S,
            check=False,
        )

    def stop(self) -> None:
        """Take leave."""
        self.process.terminate()
        self.process.wait(PATIENCE_S)

    def kill(self) -> None:
        """Die without a word."""
        self.process.kill()
        self.process.wait(PATIENCE_S)

    def close(self) -> None:
        """End, and leave nothing behind."""
        if self.process.poll() is None:
            self.stop()
        self._folder.cleanup()


class Recording:
    """Everything that the sink plays from now on, recorded from its monitor."""

    def __init__(self, server: PulseServer) -> None:
        self.path = server.folder / "heard.raw"
        with self.path.open("wb") as file:
            self.process = subprocess.Popen(
                [
                    *("parec", "-d", f"{SINK}.monitor", "--format=float32le"),
                    *(f"--rate={RATE_HZ}", "--channels=1", "--latency-msec=50"),
                ],
                env={**os.environ, **server.environment},
                stdout=file,
                stderr=subprocess.DEVNULL,
            )
        wait_until(lambda: self.path.stat().st_size > 0)

    def end(self) -> NDArray[np.float32]:
        """Give what was heard."""
        self.process.send_signal(signal.SIGINT)
        self.process.wait(PATIENCE_S)
        return np.fromfile(self.path, dtype="<f4")


def starts(sound: NDArray[np.float32], apart: int = 2000) -> NDArray[np.intp]:
    """Find the first sample of each sound in a recording without any noise."""
    loud = np.flatnonzero(np.abs(sound) > np.abs(sound).max(initial=0.0) / 50)
    if not len(loud):
        return loud
    is_first = np.concatenate([[True], np.diff(loud) > apart])
    return np.asarray(loud[is_first])
