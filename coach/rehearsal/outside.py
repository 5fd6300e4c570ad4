"""What a rehearsal is handed from outside: gear, log, and what the time is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime

from coach.rehearsal.gear.gear import ClickPlayer, Clock
from coach.rehearsal.gear.listener import Listener, NoListener
from coach.rehearsal.run.run import RunLog


@dataclass(frozen=True, slots=True)
class Outside:
    """All that a rehearsal touches of the world."""

    player: ClickPlayer
    """Plays tracks, and tells what is heard now."""

    log: RunLog
    """Keeps runs, marks and edits."""

    clock: Clock
    """Measures what no track does: rests between runs."""

    wall: Callable[[], datetime]
    """Tells the date and time, with a zone, for the run log."""

    ear: Listener = field(default_factory=NoListener)
    """Listens to runs; by itself nobody does."""
