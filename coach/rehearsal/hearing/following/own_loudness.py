"""How loud a player plays against the page, by a measure of the player's own."""

from __future__ import annotations

from collections import deque
from statistics import median

from coach.rehearsal.hearing.following.following_settings import LevelSettings


class OwnLoudness:
    """Learns from the first notes how loud the page is with this player, here."""

    def __init__(self, settings: LevelSettings) -> None:
        self._settings = settings
        self._first: list[float] = []
        self._last: deque[float] = deque(maxlen=settings.middle_notes)
        self._told = 0.0

    def hear(self, level_db: float, page: float) -> float | None:
        """Hear one note; `page` is its loudness there, in steps from mezzo-forte.

        Returns
        -------
        float or None
            Steps louder than the player's measure; None where that has not moved.
        """
        settings = self._settings
        against_page = level_db - settings.step_db * page
        if len(self._first) < settings.own_notes:
            self._first.append(against_page)
            return None
        self._last.append(against_page)
        if len(self._last) < settings.middle_notes:
            return None
        louder_db = median(self._last) - median(self._first)
        steps = louder_db / settings.step_db
        if abs(steps - self._told) < settings.told_steps:
            return None
        self._told = steps
        return steps
