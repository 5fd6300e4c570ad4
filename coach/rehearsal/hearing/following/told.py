"""What is told of a run while it plays, and what begins one.

This file loads no numpy, so that a screen may hold its values.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coach.score.tempo import Seconds

StartBy = Literal["", "note", "knock"]
"""What sound begins a run: none, a held note, two knocks."""


@dataclass(frozen=True, slots=True)
class BreathTold:
    """A breath that was heard, or heard not to be taken."""

    after_note: int
    """Index of the note before it."""

    at: Seconds
    """When it ended; of one that was missed, when the next note began."""

    is_taken: bool
    """It was taken."""


@dataclass(frozen=True, slots=True)
class StopTold:
    """The player has stopped."""

    at: Seconds
    """When the sound ended."""


@dataclass(frozen=True, slots=True)
class LoudnessTold:
    """How loud the player plays from here on."""

    at: Seconds
    """When."""

    steps: float
    """Louder than the page, by the player's own measure, in steps of dynamics."""


Told = BreathTold | StopTold | LoudnessTold


@dataclass(frozen=True, slots=True)
class RunTold:
    """Something was heard of a run while it plays."""

    run_id: int
    """Number of the run in the log."""

    told: Told
    """What."""


@dataclass(frozen=True, slots=True)
class StartWish:
    """What sound is to begin a run."""

    by: StartBy
    """None, a held note, two knocks."""

    lowest: int
    """Lowest note of the etude, as a MIDI key: a note lies about there ..."""

    highest: int
    """... and this is its highest."""


@dataclass(frozen=True, slots=True)
class StartHeard:
    """A note or a knock asks for a run to begin."""

    by: StartBy
    """What was heard."""
