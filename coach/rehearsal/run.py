"""One pass through a segment: what was planned, sent, marked and said."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Literal

from coach.score.tempo import Seconds


class MarkKind(StrEnum):
    """What went wrong, or was done, at a beat."""

    RAN_OUT = "ran-out"
    RUSHED = "rushed"
    DRAGGED = "dragged"
    MISSED = "missed"
    LATE_AFTER_BREATH = "late-after-breath"
    BREATHED = "breathed"


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
