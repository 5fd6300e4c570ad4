"""What the player wants the microphone to do beside hearing a run out."""

from __future__ import annotations

from dataclasses import dataclass

from coach.rehearsal.hearing.following.told import StartBy, StartWish
from coach.score.phrase import Part


@dataclass(frozen=True, slots=True)
class FollowWishes:
    """What a sound may bring about, where the microphone is on."""

    follows: bool = False
    """Breaths more or less are noted while the run plays, as their keys do it."""

    stops: bool = False
    """A run whose player has stopped stops too."""

    drives_gauge: bool = False
    """Louder than planned empties the gauge faster."""

    start_by: StartBy = ""
    """What sound begins a run; none where empty."""

    @property
    def is_any(self) -> bool:
        """A run is followed while it plays."""
        return self.follows or self.stops or self.drives_gauge


def start_wish(part: Part, wishes: FollowWishes) -> StartWish:
    """Say what sound is to begin a run of a part.

    Parameters
    ----------
    part : Part
        A note that begins a run lies about where its notes lie.
    """
    keys = [note.sounding.midi for note in part.notes]
    return StartWish(wishes.start_by, min(keys), max(keys))
