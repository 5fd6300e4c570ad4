"""A microphone that hears what a test feeds it, in front of the real listening process.

Sound goes in block by block, in run time, while a manual clock goes along; what the ear
says comes back as facts, which a test waits for however long the machine takes.
"""

from __future__ import annotations

from collections.abc import Callable
from queue import Empty, SimpleQueue
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from coach.edges.hearing.run_ear import RunEar
from coach.edges.hearing.take_settings import read_take_settings
from coach.rehearsal.click.clicks import ClickTrack
from coach.rehearsal.gear.gear import Fact, SoundHeard
from coach.score.tempo import Seconds
from tests.hand_rehearsal import HandRehearsal

BLOCK_S = 0.05
PATIENCE_S = 120.0

F = TypeVar("F")


class FedRoom:
    """A `RoomSound` with nothing to play on."""

    def __init__(self, rate_hz: float) -> None:
        self.ear = RunEar(self, read_take_settings())
        self.is_open = False
        self._rate_hz = rate_hz
        self._time: Seconds | None = None
        self._tellers: list[Callable[[Fact], None]] = []
        self._facts: SimpleQueue[Fact] = SimpleQueue()
        self._seen: list[Fact] = []

    def listen(self, tell: Callable[[Fact], None]) -> None:
        """Hand every block to `tell`."""
        self._tellers.append(tell)

    def listen_no_more(self, tell: Callable[[Fact], None]) -> None:
        """Hand no more to `tell`."""
        self._tellers.remove(tell)

    def listen_to_room(self, wanted: bool) -> None:
        """Open the microphone, or let it go."""
        self.is_open = wanted

    def run_time(self) -> Seconds | None:
        """Tell the run time of the block that is heard."""
        return self._time

    def tell(self, fact: Fact) -> None:
        """Keep what the ear says."""
        self._facts.put(fact)

    def hold_take(self, block: SoundHeard) -> None:
        """Play nothing."""

    def play(self, track: ClickTrack) -> None:
        """Play nothing."""

    def stop(self) -> None:
        """Play nothing."""

    def sound(
        self, samples: NDArray[np.float32], at: float, hand: HandRehearsal | None = None
    ) -> None:
        """Let a sound be heard that begins at a run time, the run's clock beside it."""
        count = round(BLOCK_S * self._rate_hz)
        for first in range(0, len(samples), count):
            begins = Seconds(at + first / self._rate_hz)
            if hand is not None:
                hand.go_to(begins + BLOCK_S)
                self._time = begins
            block = samples[first : first + count].astype("<f4").tobytes()
            for tell in self._tellers:
                tell(SoundHeard(begins, self._rate_hz, block, is_timed=True))
        self._time = None

    def wait_for(
        self, kind: type[F], hand: HandRehearsal, is_it: Callable[[F], bool]
    ) -> F:
        """Hand the conductor what the ear says until it says what is waited for."""
        while True:
            try:
                fact = self._facts.get(timeout=PATIENCE_S)
            except Empty:
                raise AssertionError(f"never said; but {self._seen}") from None
            self._seen.append(fact)
            hand.conductor.on_fact(fact)
            if isinstance(fact, kind) and is_it(fact):
                return fact
