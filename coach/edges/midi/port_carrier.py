"""The engine's side of the process that carries messages to one MIDI port."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import suppress
from typing import IO, cast

from coach.edges.midi.port_watch import end_child
from coach.edges.midi.port_wire import OPENED, frame_message
from coach.errors import GearError

CARRIER = "coach.edges.midi.in_child.carrier_child"
STUCK_AFTER_S = 0.75
"""A driver that takes nothing for so long is stuck: our own choice; a carrier that
works answers within a few milliseconds."""


class PortCarrier:
    """A `ClickPort` that never waits for a driver."""

    def __init__(self, steps: tuple[int, int], wake: Callable[[], None]) -> None:
        """Start the process; GearError when there is none to be had.

        `steps` are those of real-time and of raised priority; `wake` is called when
        the port is open, and when it is not.
        """
        self.name = ""
        """The port that it carries to; empty until that is known."""
        self.system = 0
        """Number of the MIDI system that the port belongs to."""
        self.is_open = False
        """The port has been opened."""
        self.is_gone = False
        """The process is gone, or takes nothing any more."""
        self._wake = wake
        self._asked_at: float | None = None
        try:
            self._process = subprocess.Popen(
                [sys.executable, "-m", CARRIER, *map(str, steps)],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                bufsize=0,
            )
        except OSError as error:
            raise GearError(f"No process for MIDI: {error.strerror}.") from error
        self._pipe = cast(IO[bytes], self._process.stdin).fileno()
        with suppress(OSError, AttributeError):
            os.set_blocking(self._pipe, False)
        threading.Thread(target=self._read, name="carrier", daemon=True).start()

    @property
    def has_left(self) -> bool:
        """Whether its process has come to an end."""
        return self._process.poll() is not None

    def open(self, name: str, system: int) -> None:
        """Begin to open a port of one MIDI system; `is_open` tells when it is."""
        self.name, self.system = name, system
        self.send(json.dumps({"name": name, "api": system}).encode())

    def send(self, message: bytes) -> None:
        """Send a message at once."""
        if not self.is_gone:
            try:
                os.write(self._pipe, frame_message(message))
            except OSError:
                self.is_gone = True

    def ask_for_life(self, now: float) -> None:
        """Ask whether it still takes what is sent; note when it does not."""
        if self._asked_at is None:
            self._asked_at = now
            self.send(b"")
        elif now - self._asked_at > STUCK_AFTER_S:
            self.is_gone = True

    def close(self) -> None:
        """Ask it to leave, after all that was sent has left."""
        self.is_gone = True
        with suppress(OSError):
            cast(IO[bytes], self._process.stdin).close()

    def wait(self, patience_s: float) -> None:
        """Wait until it has left; make it leave when that takes too long."""
        end_child(self._process, patience_s)

    def _read(self) -> None:
        """Take what it says until it is gone."""
        with (
            suppress(OSError, ValueError),
            cast(IO[bytes], self._process.stdout) as said,
        ):
            for line in iter(said.readline, b""):
                if line.decode().strip() == OPENED:
                    self.is_open = True
                    self._wake()
                else:
                    self._asked_at = None
        self.is_gone = True
        self._wake()
        self._process.wait()
