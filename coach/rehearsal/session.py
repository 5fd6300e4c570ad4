"""States of a rehearsal, and the table that moves between them."""

from __future__ import annotations

from enum import StrEnum


class State(StrEnum):
    """Where a rehearsal stands."""

    READY = "ready"
    """Nothing plays; everything may be changed."""

    COUNTING_IN = "counting-in"
    """The click runs, the first beat is still to come."""

    PLAYING = "playing"
    """The player plays."""

    RESTING = "resting"
    """Between two runs in a row."""

    ENDED = "ended"
    """The run is over and waits for the player's word."""
