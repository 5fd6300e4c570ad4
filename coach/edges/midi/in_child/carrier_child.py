"""Carry messages to one MIDI port, in a process of its own.

Opening and closing a port may take seconds in which the library holds the interpreter:
here only this one port waits.  When the engine is gone, whatever it left sounding is
ended at once.  ``port_carrier`` is the other side: frames of a length and a message
come in, the first one names the port, an empty one asks for a sign of life.
"""

from __future__ import annotations

import gc
import json
import os
import sys
from typing import BinaryIO

from coach.edges.child_pipes import end_by_alarm, take_pipes
from coach.edges.engine import scheduling
from coach.edges.midi import midi_bytes
from coach.edges.midi.in_child.midi_ports import MidiOut, MidiSystem, load_midi_library
from coach.edges.midi.port_wire import FAILED, HERE, OPENED, read_message
from coach.errors import GearError


class SoundingNotes:
    """Knows which notes a port was told to begin and not yet to end."""

    def __init__(self) -> None:
        self._places: set[tuple[int, int]] = set()

    def note(self, message: bytes) -> None:
        """Take note of a message."""
        status = message[0] & midi_bytes.KIND_BITS
        channel = message[0] & midi_bytes.CHANNEL_BITS
        if status == midi_bytes.NOTE_ON and message[2] > 0:
            self._places.add((channel, message[1]))
        elif status in (midi_bytes.NOTE_ON, midi_bytes.NOTE_OFF):
            self._places.discard((channel, message[1]))

    def endings(self) -> list[bytes]:
        """Give what ends all that sounds; nothing where nothing does."""
        ends = [midi_bytes.note_off(*place) for place in sorted(self._places)]
        for channel in sorted({channel for channel, _ in self._places}):
            ends += midi_bytes.silence(channel)
        return ends


def carry(read: BinaryIO, write: BinaryIO, port: MidiOut) -> None:
    """Send what comes until nothing comes any more; then end what sounds."""
    sounding = SoundingNotes()
    while (message := read_message(read)) is not None:
        if message:
            sounding.note(message)
            port.send(message)
        else:
            _say(write, HERE)
    end_by_alarm()
    for message in sounding.endings():
        port.send(message)


def _open(words: bytes) -> tuple[MidiSystem, MidiOut]:
    """Open the port that is asked for."""
    asked = json.loads(words)
    system = MidiSystem(asked["api"], is_to_hear=False)
    return system, system.open_out(asked["name"])


def _say(write: BinaryIO, word: str) -> None:
    """Say a line."""
    write.write(f"{word}\n".encode())
    write.flush()


def main() -> None:
    """Be the carrier until nothing comes any more."""
    read, write = take_pipes()
    realtime_steps, raised_steps = int(sys.argv[1]), int(sys.argv[2])
    with scheduling.giving_way():
        load_midi_library()
    gc.freeze()
    gc.disable()
    words = read_message(read)
    if words is None:
        os._exit(0)
    try:
        system, port = _open(words)
    except GearError:
        _say(write, FAILED)
        os._exit(1)
    scheduling.come_first(realtime_steps, raised_steps)
    try:
        _say(write, OPENED)
        carry(read, write, port)
    finally:
        port.close()
        system.close()
        os._exit(0)  # clients of a dead MIDI server must not be deleted


if __name__ == "__main__":
    main()
