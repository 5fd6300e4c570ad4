"""The engine's main thread, as the keepers of its gear see it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import Protocol

from coach.edges.sound.click_sinks import SoundSink, SoundSource
from coach.rehearsal.gear.gear import ClickPort, Fact

HAND_OVER_S = 1.0
"""Longest wait for the main thread to let gear go."""


class GearUser(Protocol):
    """All but `post` is called on the engine's main thread."""

    def post(self, job: Callable[[], None]) -> None:
        """Do a job soon; from any thread."""
        ...

    def use_port(self, port: ClickPort | None) -> None:
        """Send to this port from now on."""
        ...

    def use_sound(self, sink: SoundSink | None) -> None:
        """Sound through this device from now on."""
        ...

    def use_room(self, source: SoundSource | None) -> None:
        """Listen to this microphone from now on."""
        ...

    def hear(self, message: bytes, at: float) -> None:
        """Take a MIDI message that came in."""
        ...

    def take_time(self, *, is_opening: bool) -> None:
        """Tell that gear is being opened, which may hold us up; or that it is done."""
        ...

    def say(self, words: str) -> None:
        """Tell how the click sounds now."""
        ...

    def tell(self, fact: Fact) -> None:
        """Tell of gear that went or came."""
        ...


def hand_over(user: GearUser, job: Callable[[], None]) -> None:
    """Have a job done on the main thread, and wait until it is."""
    done = threading.Event()

    def do() -> None:
        job()
        done.set()

    user.post(do)
    done.wait(HAND_OVER_S)
