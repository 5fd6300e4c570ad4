"""Gear in a process of its own: a synth that listens and a pedal that is pressed.

Run as ``python -m tests.midi_peer NAME``.  Each message that comes in is a line
``heard TIME BYTES`` with monotonic time.  Lines that it reads: ``send BYTES`` (answered
with ``sent TIME``), ``unplug``, ``plug`` and ``quit``; each is answered.

The server waits for nobody: while a client is not done with its cycle, what else comes
in is lost.  So what comes in is only noted there, and told by a thread of its own.
"""

from __future__ import annotations

import sys
import threading
import time
from queue import SimpleQueue
from typing import Any

import rtmidi

SWITCH_S = 0.0002
"""How long another thread may keep the client waiting."""

lines: SimpleQueue[str | None] = SimpleQueue()


class Peer:
    """One synth with a pedal."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.synth: Any = None
        self.pedal: Any = rtmidi.MidiOut(rtmidi.API_UNIX_JACK, name=f"{name}-pedal")
        self.pedal.open_virtual_port("out")
        self.plug()

    def plug(self) -> None:
        """Be there to be sent to."""
        self.synth = rtmidi.MidiIn(rtmidi.API_UNIX_JACK, name=self.name)
        self.synth.ignore_types(sysex=False, timing=False, active_sense=False)
        self.synth.set_callback(hear)
        self.synth.open_virtual_port("in")

    def unplug(self) -> None:
        """Be gone."""
        self.synth.close_port()
        self.synth.delete()

    def send(self, message: list[int]) -> None:
        """Press the pedal."""
        now = time.monotonic()
        self.pedal.send_message(message)
        lines.put(f"sent {now}")


def hear(event: tuple[list[int], float], _data: object) -> None:
    """Note what came in."""
    lines.put(f"heard {time.monotonic()} {bytes(event[0]).hex()}")


def tell_all() -> None:
    """Write lines until the last."""
    while (line := lines.get()) is not None:
        sys.stdout.write(line + "\n")
        sys.stdout.flush()


def main() -> None:
    """Do what is read until there is no more."""
    sys.setswitchinterval(SWITCH_S)
    teller = threading.Thread(target=tell_all)
    teller.start()
    peer = Peer(sys.argv[1])
    lines.put("ready")
    for line in sys.stdin:
        match line.split():
            case ["send", data]:
                peer.send(list(bytes.fromhex(data)))
            case ["unplug"]:
                peer.unplug()
                lines.put("unplugged")
            case ["plug"]:
                peer.plug()
                lines.put("plugged")
            case _:
                break
    peer.unplug()
    peer.pedal.close_port()
    peer.pedal.delete()
    lines.put(None)
    teller.join()


if __name__ == "__main__":
    main()
