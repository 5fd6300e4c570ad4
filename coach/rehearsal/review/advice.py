"""What the coach suggests to play next, and where the rehearsal stands when it does."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal

from coach.rehearsal.click.tempo_scale import whole_bpm

AdviceKind = Literal["again", "faster", "slower", "breathe", "next", "whole", "rest"]


@dataclass(frozen=True, slots=True)
class Advice:
    """What to play next, and why."""

    kind: AdviceKind
    """What it comes to."""

    from_bar: int
    """First bar to play."""

    to_bar: int
    """Last bar to play."""

    bpm: float
    """Tempo to play it at, in whole beats a minute."""

    why: str
    """The reason, in the player's words."""


@dataclass(frozen=True, slots=True)
class Standing:
    """Where the rehearsal stands when advice is asked for."""

    from_bar: int
    """First bar of the segment."""

    to_bar: int
    """Last bar of the segment."""

    is_whole: bool
    """The segment is the whole part."""

    bpm: float
    """Tempo it is played at."""

    goal_bpm: float
    """The page's tempo."""

    following: tuple[int, int] | None
    """Bars of the segment after this one; None at the end."""

    bars: tuple[int, int]
    """First and last bar of the whole part."""

    now: datetime
    """The date and time, with a zone."""

    @property
    def rounded(self) -> Standing:
        """The same in tempos that a player can set, to the slower side."""
        return replace(self, bpm=whole_bpm(self.bpm), goal_bpm=whole_bpm(self.goal_bpm))
