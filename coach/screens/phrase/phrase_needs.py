"""What the screens of a phrase need from outside, as small protocols."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from coach.screens.remembered import MemoryNeeds
from coach.screens.staff.engraved.staff_engraver import StaffNeeds

if TYPE_CHECKING:
    from collections.abc import Sequence

    from coach.conductor import Conductor
    from coach.planning.plan import Plan
    from coach.planning.slide.slide import Placement
    from coach.rehearsal.stand.stand import Planner
    from coach.rehearsal.stand.wishes import RunWishes
    from coach.score.note import Note
    from coach.score.phrase import Part


class PhraseNeeds(StaffNeeds, MemoryNeeds, Protocol):
    """A part, its plans and the way to rehearse it."""

    def list_parts(self, path: str) -> Sequence[str]:
        """Name the parts that may be meant; one or none needs no choice (slow)."""
        ...

    def own_line(self, names: Sequence[str]) -> int:
        """Tell which of several parts is likely the player's own."""
        ...

    def open_part(self, path: str, part: str | None = None) -> Part:
        """Read a part (slow the first time)."""
        ...

    def stop_opening(self) -> None:
        """End what is being read at once."""
        ...

    def move_further(self, path: str, part: str | None, semitones: int) -> Part:
        """Move a part by so many semitones more, and keep it so (slow)."""
        ...

    def rehearse(self, part: Part, wishes: RunWishes | None = None) -> Conductor:
        """Make the conductor of a rehearsal, with the player's edits of this part.

        Where nothing is wished for yet, as the coach was called and its settings say.
        """
        ...

    def learn_air(self) -> None:
        """Make plans from now on for what the runs have taught of the player's air."""
        ...

    @property
    def planner(self) -> Planner:
        """What makes plans for this player and instrument."""
        ...

    def ways_to_play(self, note: Note) -> Sequence[Placement]:
        """List the positions or fingerings of a note, the usual one first."""
        ...

    def usual_dial(self) -> float:
        """Give the shipped dial of alternates, 0 to 1."""
        ...

    def tongued(self, plan: Plan) -> Plan:
        """Plan the same tongued throughout in usual positions, to compare (slow)."""
        ...

    def mark_part(self, plan: Plan, path: str) -> str:
        """Write the part with its marks for the stand; tell its file (slow)."""
        ...
