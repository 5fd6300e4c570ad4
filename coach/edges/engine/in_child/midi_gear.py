"""Keep the chosen MIDI ports open: notice what is unplugged, and when it is back."""

from __future__ import annotations

from functools import partial

from coach.edges.engine.in_child.gear_user import GearUser, hand_over
from coach.edges.midi.midi_ports import MidiIn, MidiOut, MidiPorts, find_name
from coach.errors import GearError
from coach.rehearsal.gear.gear import Clock, GearLost
from coach.rehearsal.gear.gear_choice import ANY, GearChoice

SOON_S, LATER_S = 0.7, 5.0
"""How long to wait before looking for a MIDI system again: one that just went, and
one that was never there.  Our own choice: a port is back within two seconds."""


class MidiGear:
    """The MIDI ports of one engine; all calls come from the gear thread."""

    def __init__(self, user: GearUser, clock: Clock) -> None:
        self._user = user
        self._clock = clock
        self._next_look = 0.0
        self._missed: set[str] = set()
        self._inputs: dict[str, MidiIn] = {}
        self.ports = MidiPorts()
        self.port: MidiOut | None = None
        """The port that clicks go to; None while there is none."""

    @property
    def listened(self) -> tuple[str, ...]:
        """Names of the ports that are listened to."""
        return tuple(sorted(self._inputs))

    def look(self, choice: GearChoice) -> None:
        """Look at all ports once."""
        died = bool(self.ports.drop_dead())
        self._look_at_out(choice.midi_out)
        self._look_at_ins(choice.midi_in)
        self._look_for_systems(died, choice)

    def close(self) -> None:
        """Let all ports go; the main thread uses none any more."""
        for gear in (self.port, *self._inputs.values()):
            if gear is not None:
                gear.close()
        self.ports.close()

    def _look_for_systems(self, died: bool, choice: GearChoice) -> None:
        """Look for systems that came, sooner after one went."""
        is_short = not self.ports.systems or (bool(choice.midi_out) and not self.port)
        now = self._clock.now()
        if died:
            self._next_look = now + SOON_S
        elif (is_short or self._missed) and now >= self._next_look:
            self._next_look = now + (SOON_S if self._missed else LATER_S)
            self.ports.look_again()

    def _look_at_out(self, wanted: str) -> None:
        """Open the chosen port when it is there; let it go when it is not."""
        outs = self.ports.outs()
        found = find_name(wanted, list(outs))
        old = self.port
        if old and old.name == found and outs[found] is old.system:
            return
        if old:
            self.port = None
            hand_over(self._user, partial(self._user.use_port, None))
            old.close()
        if wanted and not found:
            self._miss(
                wanted, f"The MIDI port “{wanted}” is not there; it is looked for."
            )
        if found:
            self._open_out(wanted, found)

    def _open_out(self, wanted: str, found: str) -> None:
        """Open a port that is there and hand it to the engine."""
        try:
            port = self.ports.outs()[found].open_out(found)
        except (GearError, KeyError):
            self._miss(wanted, f"The MIDI port “{found}” cannot be opened now.")
            return
        self.port = port
        hand_over(self._user, partial(self._user.use_port, port))
        self._find(wanted, f"The MIDI port “{found}” is back.")

    def _look_at_ins(self, wanted: str) -> None:
        """Listen to the chosen ports that are there; leave those that are not."""
        ins = self.ports.ins()
        chosen = list(ins) if wanted == ANY else [find_name(wanted, list(ins))]
        for name, port in list(self._inputs.items()):
            if name not in chosen or ins[name] is not port.system:
                del self._inputs[name]
                port.close()
                if name not in ins:
                    self._miss(name, f"The MIDI input “{name}” is gone.")
        for wished in chosen:
            if wished and wished not in self._inputs:
                self._open_in(wished)

    def _open_in(self, name: str) -> None:
        """Listen to a port that is there."""
        try:
            system = self.ports.ins()[name]
            self._inputs[name] = system.open_in(name, self._arrive)
        except (GearError, KeyError):
            return
        self._find(name, f"The MIDI input “{name}” is back.")

    def _arrive(self, message: bytes, at: float) -> None:
        """Hand a message on, from the driver's thread."""
        self._user.post(partial(self._user.hear, message, at))

    def _miss(self, name: str, words: str) -> None:
        """Tell once that a port is not there."""
        if name not in self._missed:
            self._missed.add(name)
            self._user.post(partial(self._user.tell, GearLost(words)))

    def _find(self, name: str, words: str) -> None:
        """Tell once that a port that was missed is there."""
        if name in self._missed:
            self._missed.discard(name)
            self._user.post(partial(self._user.tell, GearLost(words, is_back=True)))
