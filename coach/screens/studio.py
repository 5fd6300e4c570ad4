"""All that the screens need from outside: the front door puts it into their hands.

Each screen knows only its own small protocol; the app hands all of them one studio.
Calls marked *slow* may read files or start a child process, and are made in a worker
thread; all others come back within a few milliseconds and are made in the screens'
own thread.  Any of them may raise a `CoachError`, which a screen shows.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from coach.screens.phrase.phrase_needs import PhraseNeeds, ReachNeeds
from coach.screens.remembered import MemoryNeeds
from coach.screens.run.run_needs import RunNeeds
from coach.screens.set_up.set_up_needs import (
    CalibrationNeeds,
    CautionNeeds,
    GearNeeds,
    PlayerNeeds,
)
from coach.screens.shelf.shelf_needs import (
    ImportNeeds,
    LogNeeds,
    ShelfNeeds,
    TodayNeeds,
)
from coach.screens.staff.engraved.staff_engraver import StaffNeeds
from coach.screens.write.write_needs import WriteNeeds

if TYPE_CHECKING:
    from collections.abc import Callable

    from coach.rehearsal.gear.gear import Fact


class Studio(
    ShelfNeeds,
    TodayNeeds,
    ImportNeeds,
    LogNeeds,
    PhraseNeeds,
    ReachNeeds,
    RunNeeds,
    StaffNeeds,
    PlayerNeeds,
    GearNeeds,
    CalibrationNeeds,
    CautionNeeds,
    MemoryNeeds,
    WriteNeeds,
    Protocol,
):
    """Everything outside the screens."""

    def listen(self, tell: Callable[[Fact], None]) -> None:
        """Hand every fact of the gear to `tell`, from any thread."""
        ...

    def leave_soon(self) -> None:
        """See to it that the program ends, even if its screens cannot."""
        ...
