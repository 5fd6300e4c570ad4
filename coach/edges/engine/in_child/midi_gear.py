"""Keep the chosen MIDI ports open: notice what is unplugged, and when it is back.

No driver is called here: what may make one wait has a process of its own.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

from coach.edges.engine.engine_settings import EngineSettings
from coach.edges.engine.in_child.gear_user import GearUser, hand_over
from coach.edges.midi.port_carrier import PortCarrier
from coach.edges.midi.port_names import find_name
from coach.edges.midi.port_watch import PortWatch
from coach.errors import GearError
from coach.rehearsal.gear.gear import Clock, GearLost
from coach.rehearsal.gear.gear_choice import GearChoice

TRY_AGAIN_S = 5.0
"""How long to wait before a port that did not open, or took nothing any more, is opened
again.  Our own choice."""


class MidiGear:
    """The MIDI ports of one engine; all calls come from the gear thread."""

    def __init__(
        self,
        user: GearUser,
        clock: Clock,
        settings: EngineSettings,
        wake: Callable[[], None],
    ) -> None:
        self._user = user
        self._clock = clock
        self._settings = settings
        self._wake = wake
        self._missed: set[str] = set()
        self._heard_from: tuple[str, ...] = ()
        self._wanted: tuple[str, str] | None = None
        self._wanted_since = self._next_try = self._next_watch = 0.0
        self._coming: PortCarrier | None = None
        self._leaving: list[PortCarrier] = []
        self.watch = PortWatch(settings.ports_every_s, self._arrive, wake)
        """What ports there are."""
        self.port: PortCarrier | None = None
        """The port that clicks go to; None while there is none."""

    @property
    def is_settled(self) -> bool:
        """Whether the chosen port sounds is known, or has been waited for long enough.

        A port that is late still is used when it comes.
        """
        if self._clock.now() - self._wanted_since >= self._settings.midi_within_s:
            return True
        is_opening = self._coming is not None and bool(self._coming.name)
        return self.watch.has_looked and not is_opening

    def look(self, choice: GearChoice) -> None:
        """See to all ports once."""
        now = self._clock.now()
        if self.watch.is_gone and now >= self._next_watch:
            self._next_watch = now + TRY_AGAIN_S
            self.watch = PortWatch(
                self._settings.ports_every_s, self._arrive, self._wake
            )
            self.watch.ask(choice.midi_in, choice.midi_out)
        wanted = (choice.midi_in, choice.midi_out)
        if wanted != self._wanted:
            self._wanted, self._wanted_since = wanted, now
            self._next_try = 0.0
            self.watch.ask(*wanted)
        self._leaving = [port for port in self._leaving if not port.has_left]
        self._look_at_out(choice.midi_out)
        self._tell_of_inputs()

    def end(self) -> None:
        """Begin to let all ports go; the main thread uses none any more."""
        self._let_go(self.port, self._coming)
        self.watch.end()

    def wait(self, patience_s: float) -> None:
        """Wait until all is let go."""
        ends = self._clock.now() + patience_s
        for port in self._leaving:
            port.wait(max(0.0, ends - self._clock.now()))
        self.watch.wait(max(0.0, ends - self._clock.now()))

    def _look_at_out(self, wanted: str) -> None:
        """Open the chosen port when it is there; let it go when it is not."""
        outs = self.watch.outs
        found = find_name(wanted, list(outs))
        if self.port:
            self.port.ask_for_life(self._clock.now())
            is_same = found == self.port.name and outs[found] == self.port.system
            if is_same and not self.port.is_gone:
                return
            self._drop(self.port, wanted, is_there=is_same)
        if wanted and not found and self.watch.has_looked:
            self._miss(
                wanted, f"The MIDI port “{wanted}” is not there; it is looked for."
            )
        self._bring(wanted, found)

    def _drop(self, port: PortCarrier, wanted: str, *, is_there: bool) -> None:
        """Send no more to a port that is gone, or takes nothing any more."""
        self.port = None
        hand_over(self._user, partial(self._user.use_port, None))
        self._let_go(port)
        if is_there:
            self._next_try = self._clock.now() + TRY_AGAIN_S
            self._miss(wanted, f"The MIDI port “{port.name}” takes nothing any more.")

    def _bring(self, wanted: str, found: str | None) -> None:
        """Move the opening of the chosen port on by a step."""
        coming = self._coming
        if not wanted or (coming and coming.name not in ("", found)):
            self._let_go(coming)
            self._coming = coming = None
        if wanted and coming is None and self._clock.now() >= self._next_try:
            try:  # before the port is found: loading the library takes a while
                coming = self._coming = PortCarrier(self._steps, self._wake)
            except GearError:
                self._next_try = self._clock.now() + TRY_AGAIN_S
        if coming and found and not coming.name:
            coming.open(found, self.watch.outs[found])
        if coming and coming.is_gone:
            self._let_go(coming)
            self._coming = None
            self._next_try = self._clock.now() + TRY_AGAIN_S
            if found:
                self._miss(wanted, f"The MIDI port “{found}” cannot be opened now.")
        elif coming and found and coming.is_open:
            self.port, self._coming = coming, None
            hand_over(self._user, partial(self._user.use_port, coming))
            self._find(wanted, f"The MIDI port “{found}” is back.")

    @property
    def _steps(self) -> tuple[int, int]:
        """Give the priority that clicks have."""
        settings = self._settings
        return settings.realtime_priority_steps, settings.raised_priority_steps

    def _let_go(self, *carriers: PortCarrier | None) -> None:
        """Ask carriers to leave, and keep an eye on them until they have."""
        for carrier in carriers:
            if carrier:
                carrier.close()
                self._leaving.append(carrier)

    def _tell_of_inputs(self) -> None:
        """Tell of inputs that went, and of those that are back."""
        listened = self.watch.listened
        for name in set(self._heard_from) - set(listened) - set(self.watch.ins):
            self._miss(name, f"The MIDI input “{name}” is gone.")
        for name in listened:
            self._find(name, f"The MIDI input “{name}” is back.")
        self._heard_from = listened

    def _arrive(self, message: bytes, at: float) -> None:
        """Hand a message on, from the thread that reads what the watch tells."""
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
