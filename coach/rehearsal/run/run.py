"""One pass through a segment: what was planned, sent, marked and said.

A run is begun with its first click, gathers marks, comes to its end, and is finished
with a word.  What is begun stays, also when it is never finished.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TYPE_CHECKING, Literal, Protocol

from coach.planning.edits import Edits
from coach.planning.plan import Plan
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import FAULTS
from coach.rehearsal.run.playing import Like, Playing
from coach.score.etude_key import EtudeKey
from coach.score.tempo import Seconds

if TYPE_CHECKING:
    from coach.rehearsal.run.evidence import Evidence

FINGERPRINT_DIGITS = 16
"""Hexadecimal digits of a plan's fingerprint: two plans never share one."""


SetAside = Literal["not-me", "struck-out"]
"""Somebody else played it, or it is to count for nothing."""


@dataclass(frozen=True, slots=True)
class RunSettings:
    """How a run is watched: the keys of ``[run]`` in ``config/rehearsal.toml``."""

    reaction_s: float
    """A key comes this much later than what it marks."""

    hold_shown_s: float
    """How long a hint that no breath comes is shown."""

    lost_after_s: float
    """A click that is not heard for this long is gone."""

    breath_notice_s: float
    """A breath that was not planned is asked for no sooner than this."""

    segment_bars: int
    """Bars of a segment when none has been chosen yet."""


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

    is_clean: bool | None
    """Clean by the player's word; not clean by a word, a mark or its end; None where
    nobody said how it was."""

    called_clean: bool | None = None
    """The player's own word, also of a run that was cut off: clean as far as it went,
    or not; None where nothing was said."""

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

    loud: Seconds | None = None
    """How long it was forte or louder as written; None where that was not kept."""

    is_attended: bool = True
    """Somebody was there, or has said something of it: in a verdict or by a mark."""

    etude_key: str = ""
    """Fingerprint of the etude; empty in an old log, which knew the title alone."""

    how: Playing = field(default_factory=Playing)
    """Who played, with what and how."""

    uid: str = ""
    """A name that no other run of any log has; empty before it is kept."""

    set_aside: SetAside | None = None
    """Why it counts for nothing; None where it counts."""

    @property
    def faults(self) -> tuple[Mark, ...]:
        """Marks of what went wrong."""
        return tuple(mark for mark in self.marks if mark.kind in FAULTS)

    @property
    def was_played(self) -> bool:
        """At least its first bar was begun."""
        return self.is_completed or self.reached_bar is not None or bool(self.marks)

    def is_of(self, player: str) -> bool:
        """Tell whether a player has played it, whatever else is set aside of it."""
        return self.how.player == player and self.set_aside != "not-me"

    def called(self, is_clean: bool) -> Run:
        """Give it as it would be with a word on it; cut off, it is never clean."""
        return replace(self, is_clean=is_clean and self.is_completed)

    @property
    def is_telling(self) -> bool:
        """It is known how it went, so that advice and learning may draw on it."""
        return self.was_played and self.is_clean is not None


@dataclass(frozen=True, slots=True)
class PlayedRun:
    """A run with what it asked of the lungs."""

    run: Run
    """When, how far, with which marks and which word."""

    evidence: Evidence
    """Its notes and breaths."""


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

    loud: Seconds | None = None
    """How long of that was forte or louder as written; None where that is not known."""


@dataclass(frozen=True, slots=True)
class RunWord:
    """What is said of a run once it is over."""

    is_clean: bool | None = None
    """The player's word; None where there is none."""

    note: str = ""
    """The player's own words."""

    evidence: Evidence | None = None
    """What it asked of the lungs; None where nothing was played."""


class RunLog(Protocol):
    """Where runs are kept; each call is safe on the disk when it comes back."""

    @property
    def is_kept(self) -> bool:
        """What is written is there for good; else it is forgotten at the end."""
        ...

    def begin(self, run: Run) -> int:
        """Keep a run from its first click on; give its number."""
        ...

    def add_mark(self, run_id: int, mark: Mark) -> None:
        """Keep a mark of a run that is under way or waits for a word."""
        ...

    def take_back_mark(self, run_id: int, which: int) -> None:
        """Let a mark no longer count: one of those that stand, from 0 as they came."""
        ...

    def end(self, run_id: int, how: RunEnd) -> None:
        """Keep how a run came to its end."""
        ...

    def finish(self, run_id: int, word: RunWord) -> Run:
        """Keep the word on a run; from now on it never changes."""
        ...

    def list_runs(
        self,
        etude: EtudeKey | None = None,
        since: datetime | None = None,
        like: Like | None = None,
        most: int | None = None,
    ) -> tuple[Run, ...]:
        """List runs, oldest first: all, or of an etude, since a moment, the newest.

        Of runs like others, those that are set aside are left out.
        """
        ...

    def list_played(self, most: int, like: Like) -> tuple[PlayedRun, ...]:
        """List the newest like runs that have evidence, of all etudes, oldest first."""
        ...

    def read_evidence(self, run_id: int) -> Evidence | None:
        """Give what a run asked of the lungs; None where that was not kept."""
        ...

    def save_edits(self, etude: EtudeKey, edits: Edits) -> None:
        """Keep what the player insists on in an etude."""
        ...

    def read_edits(self, etude: EtudeKey) -> Edits:
        """Give what was kept last; nothing changed if nothing was."""
        ...


def fingerprint(plan: Plan) -> str:
    """Give a short name that only this plan has: its notes, tempo and choices."""
    told = (
        plan.part.title,
        [(str(note.onset), note.bar, str(note.sounding)) for note in plan.part.notes],
        round(plan.bpm, 3),
        [(breath.after_note, breath.kind) for breath in plan.breaths.breaths],
        [placement.label for placement in plan.slide.placements],
        [str(articulation) for articulation in plan.slide.articulations],
    )
    return hashlib.sha256(repr(told).encode()).hexdigest()[:FINGERPRINT_DIGITS]
