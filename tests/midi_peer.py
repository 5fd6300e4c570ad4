"""Gear in a process of its own: a synth that listens and a pedal that is pressed.

Run as ``python -m tests.midi_peer NAME``.  Each message that comes in is a line
``heard TIME BYTES`` with monotonic time.  Lines that it reads: ``send BYTES`` (answered
with ``sent TIME``), ``unplug``, ``plug`` and ``quit``; each is answered.
"""

from __future__ import annotations

import sys
import time
from typing import Any

import rtmidi


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
        print("sent", now, flush=True)


def hear(event: tuple[list[int], float], _data: object) -> None:
    """Tell what came in."""
    print("heard", time.monotonic(), bytes(event[0]).hex(), flush=True)


def main() -> None:
    """Do what is read until there is no more."""
    peer = Peer(sys.argv[1])
    print("ready", flush=True)
    for line in sys.stdin:
        match line.split():
            case ["send", data]:
                peer.send(list(bytes.fromhex(data)))
            case ["unplug"]:
                peer.unplug()
                print("unplugged", flush=True)
            case ["plug"]:
                peer.plug()
                print("plugged", flush=True)
            case _:
                break
    peer.unplug()
    peer.pedal.close_port()
    peer.pedal.delete()


if __name__ == "__main__":
    main()
