"""What the player insists on where breaths are planned."""

from __future__ import annotations

from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Locks:
    """What the player insists on; breaths by the index of the note before the gap."""

    must: frozenset[int] = frozenset()
    """Breathe here."""

    must_not: frozenset[int] = frozenset()
    """Never breathe here."""

    left_out: frozenset[int] = frozenset()
    """Notes to leave out for a breath, by their index."""

    kept: frozenset[int] = frozenset()
    """Notes never to leave out."""

    may_leave_out: bool = True
    """The plan may leave out notes by itself where nothing gentler works."""

    def within(self, first_note: int, count: int) -> Locks:
        """Give what lies inside a stretch of notes, counted from its first.

        Parameters
        ----------
        first_note : int
            Index of the stretch's first note.
        count : int
            How many notes the stretch has; a breath after the last lies outside.
        """

        def inside(notes: frozenset[int], length: int) -> frozenset[int]:
            return frozenset(
                note - first_note for note in notes if 0 <= note - first_note < length
            )

        return replace(
            self,
            must=inside(self.must, count - 1),
            must_not=inside(self.must_not, count - 1),
            left_out=inside(self.left_out, count),
            kept=inside(self.kept, count),
        )


NOTHING_LOCKED = Locks()
"""All is left to the plan."""
