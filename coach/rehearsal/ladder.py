"""Segments and tempos: what to play next, and when to move up."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Advice:
    """What to play next, and why."""

    kind: Literal["again", "faster", "slower", "next", "whole", "rest"]
    """What it comes to."""

    from_bar: int
    """First bar to play."""

    to_bar: int
    """Last bar to play."""

    bpm: float
    """Tempo to play it at."""

    why: str
    """The reason, in the player's words."""
