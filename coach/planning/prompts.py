"""What to say when: breathe in so many beats, top off, no breath for a while."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coach.score.tempo import Seconds

PromptKind = Literal["full", "catch", "hold"]


@dataclass(frozen=True, slots=True)
class Prompt:
    """One thing to tell the player, early enough to act."""

    at: Seconds
    """When to say it, in run time."""

    bar: int
    """Bar on the page where it is said."""

    beat: float
    """Beat in that bar, from 1."""

    say: str
    """The words: ``top off after bar 7 beat 3, in 4 beats``."""

    kind: PromptKind
    """A full breath, a catch breath to top off, or no breath for a while."""

    breath: int | None
    """Index of the breath it announces; None for ``hold``."""
