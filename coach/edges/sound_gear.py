"""Keep the built-in sound and the microphone open when they are wanted.

The devices themselves live in ``click_sound`` and ``microphone``, which are loaded
only here and only in the engine: their libraries take time and write to the terminal.
"""

from __future__ import annotations

from functools import partial
from importlib import import_module

from coach.edges.click_sinks import SoundSink, SoundSource
from coach.edges.gear_user import GearUser, hand_over
from coach.errors import GearError
from coach.rehearsal.gear import Clock, GearLost
from coach.rehearsal.gear_choice import GearChoice

TRY_AGAIN_S = 5.0
"""How long to wait before a device that did not open is tried again: our own choice."""


class SoundGear:
    """The sound devices of one engine; the gear thread calls all but `lose`."""

    def __init__(self, user: GearUser, clock: Clock) -> None:
        self._user = user
        self._clock = clock
        self._next_try = 0.0
        self._opened_as: GearChoice | None = None
        self._is_lost = self._was_lost = False
        self.sink: SoundSink | None = None
        """The device that clicks sound through; None while there is none."""
        self.source: SoundSource | None = None
        """The microphone; None while it is not wanted or not there."""
        self.wants_room = False
        """The microphone is asked for."""
        self.remark = ""
        """Why there is no sound; empty when there is, or none is wanted."""
        self._room_remark = ""

    def lose(self) -> None:
        """Take note that the device says it is gone; from any thread."""
        self._is_lost = True

    def look(self, choice: GearChoice, has_port: bool) -> None:
        """Open what is wanted; let go what is not, or is gone."""
        is_wanted = choice.sound == "on" or (choice.sound == "auto" and not has_port)
        is_other = self._opened_as is not None and (
            choice.sound_out != self._opened_as.sound_out
        )
        if self.sink and (not is_wanted or is_other or self._is_lost):
            sink, self.sink = self.sink, None
            self._was_lost = self._is_lost
            hand_over(self._user, partial(self._user.use_sound, None))
            sink.close()
            self._next_try = 0.0
        self._is_lost = False
        self.remark = self.remark if is_wanted else ""
        if is_wanted and not self.sink and self._clock.now() >= self._next_try:
            self._open(choice)
        self._look_at_room(choice)

    def close(self) -> None:
        """Let all devices go; the main thread uses none any more."""
        for gear in (self.sink, self.source):
            if gear is not None:
                gear.close()

    def _open(self, choice: GearChoice) -> None:
        """Open the sound device and hand it to the engine."""
        self._next_try = self._clock.now() + TRY_AGAIN_S
        try:
            click_sound = import_module("coach.edges.click_sound")
            sink: SoundSink = click_sound.open_sound(choice, self._clock)
        except ImportError as error:
            self.remark = f"The built-in sound cannot be loaded: {error}."
            return
        except GearError as error:
            self.remark = str(error)
            return
        self.remark = ""
        self.sink, self._opened_as = sink, choice
        hand_over(self._user, partial(self._user.use_sound, sink))
        if self._was_lost:
            self._was_lost = False
            words = f"The sound device “{sink.name}” is back."
            self._user.post(partial(self._user.tell, GearLost(words, is_back=True)))

    def _look_at_room(self, choice: GearChoice) -> None:
        """Open the microphone when it is wanted; let it go when it is not."""
        if self.source and not self.wants_room:
            unwanted, self.source = self.source, None
            hand_over(self._user, partial(self._user.use_room, None))
            unwanted.close()
        if not self.wants_room or self.source:
            return
        try:
            microphone = import_module("coach.edges.microphone")
            source: SoundSource = microphone.open_microphone(choice, self._clock)
        except (ImportError, GearError) as error:
            self.wants_room = False
            self._user.post(partial(self._user.tell, GearLost(str(error))))
            return
        self.source = source
        hand_over(self._user, partial(self._user.use_room, source))
