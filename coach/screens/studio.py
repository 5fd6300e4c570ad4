"""What the app needs from outside: the front door puts it into its hands.

The app hands it on to each screen, which knows only a small protocol of its own; the
studio keeps them all (`coach/wiring/studio/`).
Calls marked *slow* may read files or start a child process, and are made in a worker
thread; all others come back within a few milliseconds and are made in the screens'
own thread.  Any of them may raise a `CoachError`, which a screen shows.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from coach.screens.remembered import MemoryNeeds

if TYPE_CHECKING:
    from collections.abc import Callable

    from coach.rehearsal.gear.gear import Fact


class Studio(MemoryNeeds, Protocol):
    """Everything outside the screens, as far as the app itself asks for it."""

    def listen(self, tell: Callable[[Fact], None]) -> None:
        """Hand every fact of the gear to `tell`, from any thread."""
        ...

    def leave_soon(self) -> None:
        """See to it that the program ends, even if its screens cannot."""
        ...

    def leave_now(self, code: int) -> None:
        """End the program from beside its screens, which are busy."""
        ...
