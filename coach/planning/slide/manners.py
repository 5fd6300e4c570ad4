"""In which manner a passage is begun: tongued, in sets of two, or slurred throughout.

Where the page leaves a quick run free, one manner holds for a whole passage; it may
change with a bar, after a rest or where other note values begin.

Common practice, no published source: the first of two notes (of three, in triplets)
tongued and the others slurred where the horn parts them; where it does not, a soft
tongue takes the slur's place, so that the passage keeps its pattern, or a plain one
where the arm goes too far to be quiet.
"""

from __future__ import annotations

from enum import IntEnum


class Manner(IntEnum):
    """How a free passage is begun; the number is that of the walk."""

    TONGUED = 0
    """Every note with the tongue."""

    IN_SETS = 1
    """The strong note with the tongue, those after it slurred."""

    SLURRED = 2
    """Slurred wherever the horn parts the notes."""

    def slurs(self, *, is_strong: bool) -> bool:
        """Tell whether a note is meant to be slurred."""
        return self is Manner.SLURRED or (self is Manner.IN_SETS and not is_strong)
