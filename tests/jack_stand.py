"""A JACK server without a sound card, and gear on it: real MIDI ports for tests.

Measured on two cores with four busy loops, 1,500 messages at 4 ms: an asynchronous
server at ordinary priority loses 40 to 160 of them, a real-time or a synchronous one
none.  A synchronous one is held up for five seconds by each client that is killed, so
it only stands in where real-time priority is refused.
"""

from __future__ import annotations

import itertools
import os
import queue
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, cast

from tests.system_packages import need_midi, need_program

ROOT = Path(__file__).parent.parent
PATIENCE_S = 120.0
"""A bound, not an expectation: what takes so long does not come."""

numbers = itertools.count()


@dataclass(frozen=True)
class Heard:
    """One message that gear heard."""

    at: float
    """When, in monotonic time."""

    message: bytes
    """What."""


class JackServer:
    """One server under a name of its own."""

    def __init__(self, period: int = 128) -> None:
        need_program("jackd", "jackd2")
        need_midi()
        self.unfinished = 0
        """Cycles that a client was not done with; what came then is lost."""
        self.name = f"coach{os.getpid()}x{next(numbers)}"
        self.period = period
        self.environment = {
            "JACK_NO_AUDIO_RESERVATION": "1",
            "JACK_NO_START_SERVER": "1",
            "JACK_DEFAULT_SERVER": self.name,
        }
        self.start()

    @property
    def period_s(self) -> float:
        """Length of a period, in seconds."""
        return self.period / 48_000

    def start(self) -> None:
        """Run, and wait until clients can come."""
        self._said = tempfile.TemporaryFile()  # noqa: SIM115 - open as long as it runs
        manner = ("-R",) if may_hurry() else ("-r", "-S")
        driver = ("-d", "dummy", "-r", "48000", "-p", str(self.period))
        self.process = subprocess.Popen(
            ["jackd", *manner, "-n", self.name, *driver],
            env={**os.environ, **self.environment},
            stdout=self._said,
            stderr=subprocess.STDOUT,
        )
        wait_until(self.is_ready)

    def is_ready(self) -> bool:
        """Tell whether clients can come."""
        asked = subprocess.run(
            ["jack_lsp", "-s", self.name],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            check=False,
        )
        return asked.returncode == 0

    def kill(self) -> None:
        """Die without a word."""
        self.process.kill()
        self._end()

    def stop(self) -> None:
        """Take leave; a server takes up to two seconds."""
        self.process.terminate()
        self._end()

    def _end(self) -> None:
        """Wait for the end, and count what the server complained of."""
        self.process.wait(PATIENCE_S)
        if not self._said.closed:
            with self._said:
                self._said.seek(0)
                self.unfinished = self._said.read().count(b"was not finished")


def may_hurry() -> bool:
    """Tell whether this system grants real-time priority."""
    try:
        os.sched_setscheduler(0, os.SCHED_FIFO, os.sched_param(1))
    except OSError:
        return False
    os.sched_setscheduler(0, os.SCHED_OTHER, os.sched_param(0))
    return True


class Gear:
    """A synth and a pedal in a process of their own."""

    def __init__(self, server: JackServer, name: str) -> None:
        self.name = name
        self.process = subprocess.Popen(
            [sys.executable, "-m", "tests.midi_peer", name],
            cwd=ROOT,
            env={**os.environ, **server.environment},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
        )
        self.heard: list[Heard] = []
        self._arrived = threading.Condition()
        self._answers: queue.SimpleQueue[str] = queue.SimpleQueue()
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()
        assert self._answers.get(timeout=PATIENCE_S) == "ready"

    @property
    def port(self) -> str:
        """Name of the port that it listens on."""
        return f"{self.name}:in"

    @property
    def pedal(self) -> str:
        """Name of the port that its pedal sends from."""
        return f"{self.name}-pedal:out"

    def send(self, *message: int) -> float:
        """Press the pedal; give when, in monotonic time."""
        return float(self._ask(f"send {bytes(message).hex()}").split()[1])

    def unplug(self) -> None:
        """Take the synth away."""
        assert self._ask("unplug") == "unplugged"

    def plug(self) -> None:
        """Bring the synth back."""
        assert self._ask("plug") == "plugged"

    def forget(self) -> None:
        """Forget what was heard."""
        with self._arrived:
            self.heard.clear()

    def wait_for(self, message: bytes, count: int = 1) -> list[Heard]:
        """Wait until a message was heard so often; give all that was heard."""
        with self._arrived:
            is_there = self._arrived.wait_for(
                lambda: sum(h.message == message for h in self.heard) >= count,
                PATIENCE_S,
            )
            assert is_there, f"{message.hex()} was not heard: {self.heard[-5:]}"
            return list(self.heard)

    def hanging(self) -> set[tuple[int, int]]:
        """Tell which notes sound on: begun, and not ended in any way."""
        sounding: set[tuple[int, int]] = set()
        with self._arrived:
            for heard in self.heard:
                status, channel = heard.message[0] & 0xF0, heard.message[0] & 0x0F
                if status == 0x90 and heard.message[2] > 0:
                    sounding.add((channel, heard.message[1]))
                elif status in (0x80, 0x90):
                    sounding.discard((channel, heard.message[1]))
                elif status == 0xB0 and heard.message[1] in (120, 123):
                    sounding = {place for place in sounding if place[0] != channel}
        return sounding

    def close(self) -> None:
        """Leave."""
        stream = cast(IO[str], self.process.stdin)
        if self.process.poll() is None:
            stream.write("quit\n")
            stream.flush()
        try:
            self.process.wait(2.0)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        self._let_go()

    def kill(self) -> None:
        """Die without a word."""
        self.process.kill()
        self.process.wait()
        self._let_go()

    def _let_go(self) -> None:
        """Close the pipes of a process that is gone."""
        self._reader.join(PATIENCE_S)
        for stream in (self.process.stdin, self.process.stdout):
            with suppress(OSError):
                cast(IO[str], stream).close()

    def _ask(self, line: str) -> str:
        """Say a line and wait for the answer."""
        stream = cast(IO[str], self.process.stdin)
        stream.write(line + "\n")
        stream.flush()
        return self._answers.get(timeout=PATIENCE_S)

    def _read(self) -> None:
        """Take what the process says."""
        for line in cast(IO[str], self.process.stdout):
            words = line.split()
            if words[0] == "heard":
                with self._arrived:
                    data = bytes.fromhex(words[2])
                    self.heard.append(Heard(float(words[1]), data))
                    self._arrived.notify_all()
            else:
                self._answers.put(line.strip())


def wait_until(
    is_so: Callable[[], object],
    timeout_s: float = PATIENCE_S,
    says: Callable[[], str] = lambda: "it did not come to be",
) -> float:
    """Wait until something is so; give how long it took, in seconds.

    `says` tells what was seen instead, when it does not come to be.
    """
    began = time.monotonic()
    while not is_so():
        assert time.monotonic() - began < timeout_s, says()
        time.sleep(0.002)
    return time.monotonic() - began
