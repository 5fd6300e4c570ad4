"""Look for MIDI ports and listen to pedals, in a process of its own.

A server that has not let its last client go keeps a new one waiting, and the library
holds the interpreter meanwhile: here nothing else waits with it.  Wishes come in and
news goes out as lines of JSON; ``port_watch`` is the other side.
"""

from __future__ import annotations

import json
import os
import sys
import threading
from contextlib import suppress
from typing import Any, BinaryIO

from coach.edges.child_pipes import end_by_alarm, take_pipes
from coach.edges.engine.scheduling import giving_way
from coach.edges.midi.in_child.midi_ports import MidiIn, MidiPorts
from coach.edges.midi.port_names import find_name
from coach.edges.system_clock import SystemClock
from coach.errors import GearError
from coach.rehearsal.gear.gear_choice import ANY

SOON_S, LATER_S = 0.7, 5.0
"""How long to wait before looking for a MIDI system again: one that just went, and
one that was never there.  Our own choice: a port is back within two seconds."""


class PortWatcher:
    """Looks at all ports again and again, and tells what is new."""

    def __init__(self, write: BinaryIO) -> None:
        self._write = write
        self._writing = threading.Lock()
        self._clock = SystemClock()
        self._wish: dict[str, Any] = {"serial": 0, "listen": "", "wants": ""}
        self._inputs: dict[str, MidiIn] = {}
        self._gone: set[str] = set()
        self._next_look = 0.0
        self._told: dict[str, Any] = {}
        self._is_over = False
        self._wake = threading.Event()

    def ask(self, wish: dict[str, Any]) -> None:
        """Take a wish, from the thread that reads them."""
        self._wish = wish
        self._wake.set()

    def finish(self) -> None:
        """Come to an end."""
        self._is_over = True
        self._wake.set()

    def run(self, every_s: float) -> None:
        """Look until the end."""
        with giving_way():
            ports = MidiPorts()
        while not self._is_over:
            self._look(ports, self._wish)
            self._wake.wait(every_s)
            self._wake.clear()
        for source in self._inputs.values():
            source.close()
        ports.close()

    def _look(self, ports: MidiPorts, wish: dict[str, Any]) -> None:
        """Look at all ports once."""
        died = bool(ports.drop_dead())
        outs, ins = ports.outs(), ports.ins()
        self._listen(ports, str(wish["listen"]))
        misses = bool(wish["wants"]) and not find_name(wish["wants"], list(outs))
        now = self._clock.now()
        if died:
            self._next_look = now + SOON_S
        elif (misses or self._gone or not ports.systems) and now >= self._next_look:
            self._next_look = now + (SOON_S if misses or self._gone else LATER_S)
            ports.look_again()
        self._tell(
            {
                "serial": wish["serial"],
                "outs": {name: system.api for name, system in outs.items()},
                "ins": list(ins),
                "listened": sorted(self._inputs),
                "remark": ports.remark,
            }
        )

    def _listen(self, ports: MidiPorts, wanted: str) -> None:
        """Listen to the chosen ports that are there; leave those that are not."""
        ins = ports.ins()
        chosen = list(ins) if wanted == ANY else [find_name(wanted, list(ins))]
        for name, port in list(self._inputs.items()):
            if name not in chosen or ins[name] is not port.system:
                del self._inputs[name]
                port.close()
                if name not in ins:
                    self._gone.add(name)
        for wished in chosen:
            if wished and wished not in self._inputs:
                with suppress(GearError, KeyError):
                    self._inputs[wished] = ins[wished].open_in(wished, self._hear)
                    self._gone.discard(wished)

    def _hear(self, message: bytes, at: float) -> None:
        """Tell of a message, from the driver's thread."""
        self._say({"heard": message.hex(), "at": at})

    def _tell(self, news: dict[str, Any]) -> None:
        """Tell what there is, when that is new."""
        if news != self._told:
            self._told = news
            self._say(news)

    def _say(self, words: dict[str, Any]) -> None:
        with suppress(OSError, ValueError), self._writing:
            self._write.write(json.dumps(words).encode() + b"\n")
            self._write.flush()


def main() -> None:
    """Be the watcher until nobody asks any more."""
    read, write = take_pipes()
    watcher = PortWatcher(write)

    def take_wishes() -> None:
        for line in read:
            watcher.ask(json.loads(line))
        end_by_alarm()
        watcher.finish()

    threading.Thread(target=take_wishes, name="wishes", daemon=True).start()
    watcher.run(float(sys.argv[1]))
    os._exit(0)  # clients of a dead MIDI server must not be deleted


if __name__ == "__main__":
    main()
