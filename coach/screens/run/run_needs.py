"""What the run needs from outside, as a small protocol."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from coach.screens.staff.engraved.staff_engraver import StaffNeeds

if TYPE_CHECKING:
    from coach.planning.plan import Plan
    from coach.rehearsal.learning.level_band import LevelBand


class RunNeeds(StaffNeeds, Protocol):
    """How surely the player's air is known, and what is done in pauses."""

    def level_band(self, plan: Plan) -> LevelBand | None:
        """Lay out the air of a plan for either end of what runs tell of the player.

        None where nothing was learned, or plans follow something else.
        """
        ...

    def use_pause(self) -> None:
        """Do what would hold up the pictures of a run (some 50 ms)."""
        ...
