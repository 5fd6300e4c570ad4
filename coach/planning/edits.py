"""What the player has changed in a plan of one etude: kept from day to day.

Conventions
-----------
Notes are counted from 0 in the whole part, repeats unfolded, also where only a
stretch of it is rehearsed.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from coach.planning.breathing.locks import Locks


@dataclass(frozen=True, slots=True)
class Edits:
    """Everything that the player insists on in one etude."""

    locks: Locks = field(default_factory=Locks)
    """Where to breathe and where never to."""

    positions: tuple[tuple[int, str], ...] = ()
    """Notes with the position chosen for them, as ``(12, "4")``; in order of note."""

    dial: float | None = None
    """Dial of alternates; None for the shipped setting."""

    dynamic_shift: float = 0.0
    """Steps louder (positive) or softer than the page, for all of it."""

    @property
    def arm(self) -> tuple[tuple[tuple[int, str], ...], float | None]:
        """Give what of it the arm is planned by: positions and the dial."""
        return self.positions, self.dial

    def within(self, first_note: int, count: int) -> Edits:
        """Give the same wishes for a stretch of notes, counted from its first.

        Parameters
        ----------
        first_note : int
            Index in the whole part of the stretch's first note.
        count : int
            How many notes the stretch has.

        Returns
        -------
        Edits
            Only what lies inside; a breath after the last note is outside.
        """
        return Edits(
            locks=self.locks.within(first_note, count),
            positions=tuple(
                (note - first_note, label)
                for note, label in self.positions
                if 0 <= note - first_note < count
            ),
            dial=self.dial,
            dynamic_shift=self.dynamic_shift,
        )
