"""Count the engines in a row that were of no use: after some, no other is started."""

from __future__ import annotations

SHORT_LIFE_S = 3.0
SHORT_LIVES = 3
"""So many engines in a row that die so young and unused, or never begin the track that
waits for them, are enough: our own choice."""


class ShortLives:
    """What became of the latest engines."""

    def __init__(self) -> None:
        self._began = 0.0
        self._is_used = False
        self._count = 0

    @property
    def are_enough(self) -> bool:
        """Whether no other engine would be of use."""
        return self._count >= SHORT_LIVES

    def begin(self, now: float) -> None:
        """Take note that an engine is started."""
        self._began, self._is_used = now, False

    def use(self) -> None:
        """Take note that the engine is asked to play."""
        self._is_used = True

    def end(self, now: float, *, never_began: bool) -> None:
        """Take note that the engine is gone, and whether it left a track unbegun."""
        is_short = now - self._began < SHORT_LIFE_S
        is_useless = never_began or (is_short and not self._is_used)
        self._count = self._count + 1 if is_useless else 0

    def forget(self) -> None:
        """Give engines another chance."""
        self._count = 0
