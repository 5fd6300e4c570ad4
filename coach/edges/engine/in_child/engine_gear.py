"""Watch the engine's gear on a thread of its own, where drivers may take their time.

What is ready is handed to the engine's main thread, and closed only when that has let
it go.
"""

from __future__ import annotations

import threading
from functools import partial

from coach.edges.engine.engine_settings import EngineSettings
from coach.edges.engine.in_child.gear_user import GearUser
from coach.edges.engine.in_child.midi_gear import MidiGear
from coach.edges.engine.in_child.sound_gear import SoundGear
from coach.edges.engine.scheduling import stand_back
from coach.edges.sound.sound_list import list_apart
from coach.rehearsal.gear.gear import SILENT, Clock, GearReport
from coach.rehearsal.gear.gear_choice import GearChoice
from coach.score.tempo import Seconds

MILLISECONDS = 1000
LEAVE_WITHIN_S = 0.5
"""How long the MIDI processes may take to leave: our own choice."""


class GearKeeper:
    """Opens and watches all gear of one engine."""

    def __init__(
        self, user: GearUser, clock: Clock, settings: EngineSettings, scheduling: str
    ) -> None:
        self.sound = SoundGear(user, clock)
        """The sound devices."""
        self._user = user
        self._clock = clock
        self._settings = settings
        self._scheduling = scheduling
        self._choice: GearChoice | None = None
        self._wants_report = False
        self._said = ""
        self._is_over = False
        self._wake = threading.Event()
        self._thread = threading.Thread(target=self._keep, name="gear", daemon=True)

    def choose(self, choice: GearChoice) -> None:
        """Use this gear from now on; the first choice starts the watch."""
        self._choice = choice
        if self._thread.ident is None:
            self._thread.start()
        self._wake.set()

    def listen_to_room(self, wanted: bool) -> None:
        """Open the microphone, or let it go."""
        self.sound.want_room(wanted)
        self._wake.set()

    def play_take(self, wanted: bool) -> None:
        """Open the sound for a take, whatever the clicks go to, or let it go again."""
        if self.sound.want_take(wanted):
            self._wake.set()

    def report(self) -> None:
        """Tell what there is, soon."""
        self._wants_report = True
        self._wake.set()

    def lose_sound(self) -> None:
        """Take note that the sound device says it is gone."""
        self.sound.lose()
        self._wake.set()

    def lose_room(self) -> None:
        """Take note that the microphone says it is gone."""
        self.sound.lose_room()
        self._wake.set()

    def end(self) -> None:
        """Begin to let all gear go; the main thread uses none any more."""
        self._is_over = True
        self._wake.set()

    def has_ended(self, timeout_s: float) -> bool:
        """Wait for all gear to be let go; tell whether it is."""
        if self._thread.ident is not None:
            self._thread.join(timeout_s)
        return not self._thread.is_alive()

    def _keep(self) -> None:
        """Look at the gear again and again."""
        stand_back()
        midi = MidiGear(self._user, self._clock, self._settings, self._wake.set)
        while not self._is_over and self._choice is not None:
            choice = self._choice
            midi.look(choice)
            if midi.is_settled or choice.sound == "on" or not choice.midi_out:
                say = partial(self._say, midi, choice)
                self.sound.look(choice, midi.port.name if midi.port else "", say)
                say()
            if self._wants_report and midi.is_settled:
                self._wants_report = False
                self._user.post(partial(self._user.tell, self._report(midi)))
            self._wake.wait(self._settings.ports_every_s)
            self._wake.clear()
        midi.end()
        self.sound.close()
        midi.wait(LEAVE_WITHIN_S)

    def _say(self, midi: MidiGear, choice: GearChoice) -> None:
        """Tell in one line how the click sounds, when that is new."""
        ways = []
        if midi.port:
            ways.append(f"MIDI port “{midi.port.name}”")
        if self.sound.sink:
            latency_ms = round(self.sound.sink.latency * MILLISECONDS)
            ways.append(f"built-in sound on “{self.sound.sink.name}”, {latency_ms} ms")
        words = " and ".join(ways) or self._say_silent(midi, choice)
        if words != self._said:
            self._said = words
            self._user.post(partial(self._user.say, words))

    def _say_silent(self, midi: MidiGear, choice: GearChoice) -> str:
        """Tell why nothing sounds."""
        reasons = []
        if choice.midi_out:
            is_missing = f"The MIDI port “{choice.midi_out}” is not there."
            reasons.append(midi.watch.remark or is_missing)
        if choice.sound != "off":
            reasons.append(self.sound.remark)
        why = " ".join(filter(None, reasons))
        return f"{SILENT}, the beat is shown{f' ({why})' if why else ''}"

    def _report(self, midi: MidiGear) -> GearReport:
        """Tell what there is and how it is used."""
        sink, source = self.sound.sink, self.sound.source
        found = list_apart()
        remarks = (midi.watch.remark, self.sound.remark or found.remark)
        return GearReport(
            midi_outs=tuple(midi.watch.outs),
            midi_ins=midi.watch.ins,
            midi_out=midi.port.name if midi.port else "",
            listened=midi.watch.listened,
            sound=sink.name if sink else "",
            latency=sink.latency if sink else Seconds(0.0),
            scheduling=self._scheduling,
            remarks=tuple(filter(None, remarks)),
            sound_outs=found.outputs,
            microphones=found.inputs,
            microphone=source.name if source else "",
            microphone_latency=source.latency if source else Seconds(0.0),
            round_trip=source.round_trip if source else None,
            dropped=sink.dropped if sink else 0,
        )
