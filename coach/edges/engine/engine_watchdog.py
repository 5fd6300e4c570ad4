"""Tell an engine that hangs from one that is busy: ask it for a sign of life.

It is asked only while somebody waits for it, so that nothing wakes up while nothing
plays.  Missed questions are counted, not seconds: while the whole machine stands still,
or only we do, none is asked, so none is missed.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from queue import Empty, SimpleQueue


@dataclass(frozen=True, slots=True)
class WatchdogSettings:
    """When an engine counts as hanging: ``[watchdog]`` in ``config/click.toml``.

    A hang is noticed when one question more than may be missed would be asked.
    """

    every_s: float
    """From one question to the next."""

    missed_count: int
    """How many questions in a row an engine at work may leave open."""

    starting_count: int
    """How many it may leave open before its first answer, and while it opens gear."""


class Heartbeat:
    """Counts the questions that an engine has left open."""

    def __init__(self, settings: WatchdogSettings) -> None:
        self._settings = settings
        self._open = 0
        self._is_at_work = False
        self.is_slow = False
        """It has said that it opens gear, and may answer late."""

    def ask(self) -> bool:
        """Count one more question; tell whether it may be asked still."""
        settings = self._settings
        is_quick = self._is_at_work and not self.is_slow
        most = settings.missed_count if is_quick else settings.starting_count
        self._open += 1
        return self._open <= most

    def answer(self) -> None:
        """Take note of a sign of life: the engine is at work."""
        self._is_at_work = True
        self._open = 0


class Watchdog:
    """Asks one engine on a thread of its own, and tells once when it hangs."""

    def __init__(
        self,
        settings: WatchdogSettings,
        ask: Callable[[], None],
        tell_hang: Callable[[], None],
    ) -> None:
        self._every_s = settings.every_s
        self._watchdog = Heartbeat(settings)
        self._ask = ask
        self._tell_hang = tell_hang
        self._wishes: SimpleQueue[bool | None] = SimpleQueue()
        self.thread = threading.Thread(target=self._watch, name="watchdog", daemon=True)
        """Where questions are asked and the hang is told."""
        self.thread.start()

    def watch(self, is_wanted: bool) -> None:
        """Ask from now on, or leave the engine in peace."""
        self._wishes.put(is_wanted)

    def answer(self) -> None:
        """Take note of a sign of life; from any thread."""
        self._watchdog.answer()

    def be_patient(self, is_slow: bool) -> None:
        """Give the engine time, since it opens gear; or no more."""
        self._watchdog.is_slow = is_slow

    def end(self) -> None:
        """Ask no more."""
        self._wishes.put(None)

    def _watch(self) -> None:
        """Sleep while nobody waits for the engine; else ask again and again."""
        wish: bool | None = False
        while wish is not None:
            try:
                wish = self._wishes.get(timeout=self._every_s if wish else None)
            except Empty:
                if not self._watchdog.ask():
                    self._tell_hang()
                    return
                self._ask()
