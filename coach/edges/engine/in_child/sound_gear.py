"""Keep the built-in sound and the microphone open when they are wanted.

The devices themselves live in ``sound_output`` and ``microphone``, which are loaded
only here and only in the engine: their libraries take time and write to the terminal.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from importlib import import_module

from coach.edges.engine.in_child.gear_user import GearUser, hand_over
from coach.edges.engine.scheduling import giving_way
from coach.edges.sound.click_sinks import SoundSink, SoundSource
from coach.errors import GearError
from coach.rehearsal.gear.gear import Clock, GearLost
from coach.rehearsal.gear.gear_choice import GearChoice
from coach.score.tempo import Seconds

TRY_AGAIN_S, SOON_S = 5.0, 1.0
"""How long to wait before a device is tried again: one that did not open, and one that
just went.  Our own choice."""


class SoundGear:
    """The sound devices of one engine; the gear thread calls all but `lose`."""

    def __init__(self, user: GearUser, clock: Clock) -> None:
        self._user = user
        self._clock = clock
        self._next_try = 0.0
        self._opened_as: GearChoice | None = None
        self._is_lost = self._was_lost = False
        self._room_is_lost = self._room_was_lost = False
        self._next_room_try = 0.0
        self._room_opened_as: GearChoice | None = None
        self._heard_from = ""
        self._room_remark = ""
        self.sink: SoundSink | None = None
        """The device that clicks sound through; None while there is none."""
        self.source: SoundSource | None = None
        """The microphone; None while it is not wanted or not there."""
        self._wants_room = self._is_asked_anew = False
        self._wants_take = self._is_take_asked = False
        self.remark = ""
        """Why there is no sound; empty when there is, or none is wanted."""

    def lose(self) -> None:
        """Take note that the device says it is gone; from any thread."""
        self._is_lost = True

    def lose_room(self) -> None:
        """Take note that the microphone says it is gone; from any thread."""
        self._room_is_lost = True

    def want_room(self, wanted: bool) -> None:
        """Take note whether the microphone is asked for; from any thread.

        Each time that it is, it is tried at once, and why it fails is told again.
        """
        self._wants_room = self._is_asked_anew = wanted

    def want_take(self, wanted: bool) -> bool:
        """Take note whether a take is to be played; tell whether that is news."""
        is_news = wanted or self._wants_take
        self._wants_take = self._is_take_asked = wanted
        return is_news

    def look(self, choice: GearChoice, port: str, say: Callable[[], None]) -> None:
        """Open what is wanted; let go what is not, or is gone.

        Parameters
        ----------
        port : str
            The MIDI port that is open; empty for none.
        say : callable
            Tells how the click sounds now, before a driver whose server died takes its
            time over letting go.
        """
        is_wanted = (
            self._wants_take
            or choice.sound == "on"
            or (choice.sound == "auto" and not port)
        )
        opened_as = self._opened_as if self.sink else None
        is_other = opened_as is not None and opened_as.sound_out != choice.sound_out
        if is_other:
            self._close_room()  # the list of devices stands still while one is open
        if self.sink and (not is_wanted or is_other or self._is_lost):
            sink, self.sink = self.sink, None
            self._was_lost = self._is_lost
            hand_over(self._user, partial(self._user.use_sound, None))
            if self._is_lost:
                self.remark = f"The sound device “{sink.name}” is gone."
                say()
            sink.close()
            self._next_try = 0.0
        self._is_lost = False
        self.remark = self.remark if is_wanted else ""
        is_time = self._is_take_asked or self._clock.now() >= self._next_try
        if is_wanted and not self.sink and is_time:
            self._open(choice)
        if self._is_take_asked:
            self._is_take_asked = False
            if not self.sink:
                self._user.post(partial(self._user.tell, GearLost(self.remark)))
        self._look_at_room(choice, self.sink.name if self.sink else port)

    def close(self) -> None:
        """Let all devices go; the main thread uses none any more."""
        for gear in (self.sink, self.source):
            if gear is not None:
                gear.close()
        streams = sys.modules.get("coach.edges.sound.sound_streams")
        if streams is not None:
            streams.leave()

    def _open(self, choice: GearChoice) -> None:
        """Open the sound device and hand it to the engine."""
        self._next_try = self._clock.now() + (SOON_S if self._was_lost else TRY_AGAIN_S)
        try:
            with self._taking_time():
                with giving_way():
                    click_sound = import_module("coach.edges.sound.sound_output")
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

    @contextmanager
    def _taking_time(self) -> Iterator[None]:
        """Ask for patience while a device is opened."""
        say = self._user.take_time
        hand_over(self._user, partial(say, is_opening=True))
        try:
            yield
        finally:
            self._user.post(partial(say, is_opening=False))

    def _look_at_room(self, choice: GearChoice, heard_from: str) -> None:
        """Open the microphone when it is wanted; let it go when it is not."""
        opened_as = self._room_opened_as
        is_other = opened_as is not None and opened_as.microphone != choice.microphone
        if not self._wants_room or is_other or self._room_is_lost:
            self._room_was_lost = self._room_is_lost
            self._close_room()
        self._room_is_lost = False
        if self._is_asked_anew:
            self._is_asked_anew = False
            self._room_remark, self._next_room_try = "", 0.0
        is_new = choice is not opened_as or heard_from != self._heard_from
        if self.source and is_new:
            self._heard_from, self._room_opened_as = heard_from, choice
            self.source.hear_from(heard_from, self._latency())
        if self._wants_room and not self.source:
            self._open_room(choice, heard_from)

    def _latency(self) -> Seconds:
        """Give the latency of what is heard, as its driver says."""
        return self.sink.latency if self.sink else Seconds(0.0)

    def _close_room(self) -> None:
        """Let the microphone go."""
        if self.source:
            unwanted, self.source = self.source, None
            self._room_opened_as, self._next_room_try = None, 0.0
            hand_over(self._user, partial(self._user.use_room, None))
            unwanted.close()

    def _open_room(self, choice: GearChoice, heard_from: str) -> None:
        """Open the microphone and hand it to the engine; tell once when it fails."""
        if self._clock.now() < self._next_room_try:
            return
        wait_s = SOON_S if self._room_was_lost else TRY_AGAIN_S
        self._next_room_try = self._clock.now() + wait_s
        try:
            with self._taking_time():
                microphone = import_module("coach.edges.sound.microphone")
                source: SoundSource = microphone.open_microphone(choice, self._clock)
        except (ImportError, GearError) as error:
            if str(error) != self._room_remark:
                self._room_remark = str(error)
                lost = GearLost(str(error), is_microphone=True)
                self._user.post(partial(self._user.tell, lost))
            return
        was_missed = self._room_was_lost or bool(self._room_remark)
        self._room_remark = ""
        source.hear_from(heard_from, self._latency())
        self.source, self._room_opened_as = source, choice
        self._heard_from = heard_from
        hand_over(self._user, partial(self._user.use_room, source))
        self._room_was_lost = False
        if was_missed:
            words = f"The microphone “{source.name}” is back."
            back = GearLost(words, is_back=True, is_microphone=True)
            self._user.post(partial(self._user.tell, back))
