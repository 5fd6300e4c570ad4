"""MIDI ports: what there is, opened by name, and whether it is still there.

Traps that this file is built around: a closed receiver raises nothing; the JACK
library answers from memory when its server is gone, and deleting a client of a dead
server breaks new ones; ALSA and Windows put numbers into names that change with every
plug; stamps of input are relative to the message before; and whatever asks a server for
something holds the interpreter until that has answered, which may take seconds.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from coach.edges.install_hints import mend_midi
from coach.edges.midi.port_names import plain_name
from coach.edges.system_clock import SystemClock
from coach.errors import GearError

CLIENT = "coach"
LEADS_BACK = ("midi through", CLIENT)
"""Inputs that would only bring our own clicks back."""

ARRIVALS_KEPT = 32
"""How many of the latest arrivals tell how stamps and the clock relate."""

CLOCKS_PARTED_S = 0.1
"""No hand-over takes this long: the driver's clock and ours have come apart."""

OPEN_FILES = Path("/proc/self/fd")

Hear = Callable[[bytes, float], None]
"""Takes a message and when it arrived, in monotonic time."""

buried: list[object] = []
"""Clients of dead servers: kept, since deleting one breaks its successors."""


def load_midi_library() -> None:
    """Load the MIDI library before it is needed, where there is one."""
    with suppress(ImportError):
        import rtmidi  # noqa: F401  # loading is all that is wanted


class MidiSystem:
    """One MIDI system of this machine: ALSA, JACK, or the platform's own."""

    def __init__(self, api: int, *, is_to_hear: bool = True) -> None:
        """Become its client, to hear as well or only to send; GearError for none."""
        import rtmidi

        self.api = api
        before = _sockets()
        try:
            self._outs = rtmidi.MidiOut(api, name=CLIENT)
            self._ins = [rtmidi.MidiIn(api, name=CLIENT)] if is_to_hear else []
        except (OSError, rtmidi.RtMidiError) as error:
            raise GearError(str(error)) from error
        is_watched = api == rtmidi.API_UNIX_JACK
        self._sockets = _sockets() - before if is_watched else frozenset()

    def is_alive(self) -> bool:
        """Tell whether its server still serves us."""
        return not self._sockets or self._sockets <= _sockets()

    def close(self) -> None:
        """Take leave of the server; clients of a dead one are kept for good."""
        is_alive = self.is_alive()
        for client in (self._outs, *self._ins):
            if is_alive:
                client.close_port()
                client.delete()
            else:
                buried.append(client)

    def out_names(self) -> list[str]:
        """Name the ports that messages can be sent to."""
        return [plain_name(name) for name in self._outs.get_ports()]

    def in_names(self) -> list[str]:
        """Name the ports that messages can come from, our own left out."""
        names = [plain_name(name) for name in self._ins[0].get_ports()]
        return [name for name in names if not name.lower().startswith(LEADS_BACK)]

    def open_out(self, name: str) -> MidiOut:
        """Open a port to send to, by the name that `out_names` gave; one at a time."""
        self._open(self._outs, name, "click")
        return MidiOut(self, self._outs, name)

    def open_in(self, name: str, hear: Hear) -> MidiIn:
        """Listen to a port, by the name that `in_names` gave."""
        import rtmidi

        free = [client for client in self._ins if not client.is_port_open()]
        if not free:
            free = [rtmidi.MidiIn(self.api, name=CLIENT)]
            self._ins += free
        self._open(free[0], name, "pedal")
        return MidiIn(self, free[0], name, hear)

    def _open(self, client: Any, name: str, own_name: str) -> None:
        """Connect a client to a port; GearError when that is not there any more."""
        import rtmidi

        names = [plain_name(other) for other in client.get_ports()]
        if name not in names:
            raise GearError(
                f"The MIDI port “{name}” is not there.",
                f"There are: {', '.join(names) or 'none'}.",
            )
        try:
            client.open_port(names.index(name), name=own_name)
        except (OSError, RuntimeError, ValueError, rtmidi.RtMidiError) as error:
            raise GearError(
                f"The MIDI port “{name}” cannot be opened: {error}"
            ) from error


class MidiOut:
    """An open port to send to."""

    def __init__(self, system: MidiSystem, client: Any, name: str) -> None:
        self.name = name
        self.system = system
        self._client = client
        self._is_open = True

    def send(self, message: bytes) -> None:
        """Send a message at once."""
        if self._is_open:
            self._client.send_message(message)

    def close(self) -> None:
        """Let the port go, after all that was sent has left."""
        self._is_open = False
        if self.system.is_alive():
            self._client.close_port()


class MidiIn:
    """An open port that is listened to."""

    def __init__(self, system: MidiSystem, client: Any, name: str, hear: Hear) -> None:
        self.name = name
        self.system = system
        self._client = client
        self._hear = hear
        self._stamps = ArrivalStamps(SystemClock().now)
        client.ignore_types(sysex=True, timing=True, active_sense=True)
        client.set_callback(self._arrive)

    def _arrive(self, event: tuple[Sequence[int], float], _data: object = None) -> None:
        """Take a message from the driver's thread."""
        message, since_last = event
        self._hear(bytes(message), self._stamps.stamp(since_last))

    def close(self) -> None:
        """Stop listening."""
        if self.system.is_alive():
            self._client.cancel_callback()
            self._client.close_port()


class ArrivalStamps:
    """Turns times between arrivals into times of the monotonic clock.

    The driver stamps a message when it arrives and hands it over a little later; so
    the earliest hand-over of the latest ones, seen by the stamps, is the anchor.
    """

    def __init__(self, now: Callable[[], float]) -> None:
        self._now = now
        self._sum = 0.0
        self._anchors: deque[float] = deque(maxlen=ARRIVALS_KEPT)

    def stamp(self, since_last: float) -> float:
        """Tell when a message arrived that is handed over now."""
        self._sum += since_last
        anchor = self._now() - self._sum
        if self._anchors and anchor - min(self._anchors) > CLOCKS_PARTED_S:
            self._anchors.clear()
        self._anchors.append(anchor)
        return min(self._anchors) + self._sum


class MidiPorts:
    """All MIDI systems of this machine, found again when they come and go."""

    def __init__(self) -> None:
        """Look for systems; none is no error."""
        self.systems: list[MidiSystem] = []
        self.remark = ""
        """Why there is no MIDI; empty when there is."""
        self.look_again()

    def look_again(self) -> None:
        """Become a client of each system that runs and that we do not know yet."""
        try:
            import rtmidi
        except ImportError:
            self.remark = (
                "This Python has no MIDI module. Install it: pip install python-rtmidi"
            )
            return
        known = {system.api for system in self.systems}
        for api in rtmidi.get_compiled_api():
            if api not in known and api != rtmidi.API_RTMIDI_DUMMY:
                try:
                    self.systems.append(MidiSystem(api))
                except GearError:
                    continue
        self.remark = (
            ""
            if self.systems
            else f"No MIDI system runs on this machine. {mend_midi()}"
        )

    def drop_dead(self) -> list[MidiSystem]:
        """Forget the systems whose server is gone; give them."""
        dead = [system for system in self.systems if not system.is_alive()]
        for system in dead:
            system.close()
            self.systems.remove(system)
        return dead

    def close(self) -> None:
        """Take leave of all systems."""
        for system in self.systems:
            system.close()

    def outs(self) -> dict[str, MidiSystem]:
        """Name all ports to send to, each with its system."""
        return _first_of_each((s, s.out_names()) for s in self.systems)

    def ins(self) -> dict[str, MidiSystem]:
        """Name all ports to listen to, each with its system."""
        return _first_of_each((s, s.in_names()) for s in self.systems)


def _first_of_each(
    systems: Iterable[tuple[MidiSystem, list[str]]],
) -> dict[str, MidiSystem]:
    """Give each name once, with the first system that has it."""
    found: dict[str, MidiSystem] = {}
    for system, names in systems:
        for name in names:
            found.setdefault(name, system)
    return found


def _sockets() -> frozenset[str]:
    """Name the sockets that this process has open; none where that cannot be seen."""
    found = set()
    for link in OPEN_FILES.iterdir() if OPEN_FILES.is_dir() else ():
        with suppress(OSError):
            found.add(str(link.readlink()))
    return frozenset(name for name in found if name.startswith("socket:"))
