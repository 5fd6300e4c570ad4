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
from coach.rehearsal.gear.gear import Fact, SoundHeard
from coach.score.tempo import Seconds
from tests.hand_rehearsal import HandRehearsal
from tests.hand_room import HandRoom

BLOCK_S = 0.05
PATIENCE_S = 120.0

F = TypeVar("F")


class FedRoom(HandRoom):
    """A room in which a test lets sound be heard by the real ear."""

    def __init__(self, rate_hz: float) -> None:
        super().__init__()
        self.ear = RunEar(self, read_take_settings())
        self._rate_hz = rate_hz
        self._facts: SimpleQueue[Fact] = SimpleQueue()

    def tell(self, fact: Fact) -> None:
        """Let what the ear says be waited for."""
        self._facts.put(fact)

    def sound(
        self, samples: NDArray[np.float32], at: float, hand: HandRehearsal | None = None
    ) -> None:
        """Let a sound be heard that begins at a run time, the run's clock beside it."""
        count = round(BLOCK_S * self._rate_hz)
        for first in range(0, len(samples), count):
            begins = Seconds(at + first / self._rate_hz)
            if hand is not None:
                hand.go_to(begins + BLOCK_S)
                self.time = begins
            block = samples[first : first + count].astype("<f4").tobytes()
            for tell in self.tellers:
                tell(SoundHeard(begins, self._rate_hz, block, is_timed=True))
        self.time = None

    def wait_for(
        self, kind: type[F], hand: HandRehearsal, is_it: Callable[[F], bool]
    ) -> F:
        """Hand the conductor what the ear says until it says what is waited for."""
        while True:
            try:
                fact = self._facts.get(timeout=PATIENCE_S)
            except Empty:
                raise AssertionError(f"never said; but {self.told}") from None
            self.told.append(fact)
            hand.conductor.on_fact(fact)
            if isinstance(fact, kind) and is_it(fact):
                return fact
