"""One pass through a segment: what was planned, sent, marked and said."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Literal, Protocol

from coach.planning.edits import Edits
from coach.score.tempo import Seconds


class MarkKind(StrEnum):
    """What went wrong, or was done, at a beat."""

    RAN_OUT = "ran-out"
    RUSHED = "rushed"
    DRAGGED = "dragged"
    MISSED = "missed"
    LATE_AFTER_BREATH = "late-after-breath"
    BREATHED = "breathed"
    MISSED_BREATH = "missed-breath"


FAULTS = frozenset(
    {
        MarkKind.RAN_OUT,
        MarkKind.RUSHED,
        MarkKind.DRAGGED,
        MarkKind.MISSED,
        MarkKind.LATE_AFTER_BREATH,
    }
)
"""Marks that make a run not clean; a breath more or less does not by itself."""


@dataclass(frozen=True, slots=True)
class Mark:
    """One mark on a run."""

    kind: MarkKind
    """What happened."""

    bar: int
    """Bar on the page."""

    beat: float
    """Beat in the bar, from 1."""

    at: Seconds
    """Run time that is meant: the press less the reaction time."""

    by: Literal["player", "microphone", "pedal"] = "player"
    """Who says so."""

    amount: Seconds | None = None
    """How much, where it was measured."""


@dataclass(frozen=True, slots=True)
class Run:
    """One pass through a segment."""

    started: datetime
    """When the first click was due; with a time zone."""

    etude: str
    """Title of the part."""

    from_bar: int
    """First bar."""

    to_bar: int
    """Last bar."""

    bpm: float
    """Tempo, in the part's beat."""

    is_completed: bool
    """Played to the end."""

    is_clean: bool
    """The player (or, left open, the absence of marks) calls it clean."""

    marks: tuple[Mark, ...] = ()
    """In order of time."""

    note: str = ""
    """The player's own words."""

    plan: str = ""
    """Fingerprint of the plan that was played."""

    sent: int = 0
    """Sounds that went out."""

    worst_late: Seconds = Seconds(0.0)
    """The greatest lateness of any sound."""

    id: int | None = None
    """Number in the run log; None before it is there."""

    reached_bar: int | None = None
    """Last bar that was begun; None where that is not known."""

    is_whole: bool = False
    """The segment is the whole part."""

    lasted: Seconds = Seconds(0.0)
    """How long it was played, the count-in left out; 0 where that is not known."""

    empties_at_scale: float | None = None
    """Flow scale that explains a ran-out mark; without one, the flow scale at which
    the air would just have been gone; None where the run tells nothing."""

    @property
    def faults(self) -> tuple[Mark, ...]:
        """Marks of what went wrong."""
        return tuple(mark for mark in self.marks if mark.kind in FAULTS)

    @property
    def was_played(self) -> bool:
        """At least its first bar was begun."""
        return self.is_completed or self.reached_bar is not None or bool(self.marks)


@dataclass(frozen=True, slots=True)
class RunEnd:
    """How a run came to its end."""

    is_completed: bool
    """Played to the end."""

    reached_bar: int | None
    """Last bar that was begun; None if not even the first was."""

    sent: int = 0
    """Sounds that went out."""

    worst_late: Seconds = Seconds(0.0)
    """The greatest lateness of any sound."""

    lasted: Seconds = Seconds(0.0)
    """How long it was played, the count-in left out."""

    empties_at_scale: float | None = None
    """As in `Run`."""


@dataclass(frozen=True, slots=True)
class EtudeSummary:
    """What the shelf tells of an etude."""

    runs: int
    """How many runs the log has of it."""

    last_run: datetime
    """When the newest started."""

    clean_bpm: float | None
    """Best tempo of a clean run of the whole part; None if there is none."""

    hardest_bar: int | None
    """Bar with the most faults, of all runs; None if there are none."""


class RunLog(Protocol):
    """Where runs are kept; each call is safe on the disk when it comes back."""

    def begin(self, run: Run) -> int:
        """Keep a run from its first click on; give its number."""
        ...

    def add_mark(self, run_id: int, mark: Mark) -> None:
        """Keep a mark of a run that is under way or waits for a word."""
        ...

    def take_back_mark(self, run_id: int) -> None:
        """Let the newest mark that still stands no longer count."""
        ...

    def end(self, run_id: int, how: RunEnd) -> None:
        """Keep how a run came to its end."""
        ...

    def finish(self, run_id: int, is_clean: bool | None, note: str) -> Run:
        """Keep the player's word; from now on the run never changes."""
        ...

    def list_runs(
        self, etude: str | None = None, since: datetime | None = None
    ) -> tuple[Run, ...]:
        """List runs, oldest first: of one etude, or since a moment, or all."""
        ...

    def save_edits(self, etude: str, edits: Edits) -> None:
        """Keep what the player insists on in an etude."""
        ...

    def read_edits(self, etude: str) -> Edits:
        """Give what was kept last; nothing changed if nothing was."""
        ...
