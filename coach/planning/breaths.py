"""Choose where to breathe in a part."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coach.score.tempo import Seconds


@dataclass(frozen=True, slots=True)
class Breath:
    """One planned breath."""

    after_note: int
    """Index of the note before it."""

    start: Seconds
    """When the note before it stops, in run time."""

    next_note: Seconds
    """When the note after it starts: always its written time."""

    taken: Seconds
    """How much is taken from the note before; 0 on a rest."""

    is_on_rest: bool
    """The written rest alone is time enough."""

    kind: Literal["full", "catch"]
    """A full breath, or a short one."""

    air_before: float
    """Air when it starts, as a fraction of capacity."""

    air_after: float
    """Air when it ends, as a fraction of capacity."""

    is_marked: bool
    """Stands on the page."""

    is_locked: bool
    """The player asked for it."""

    why: str
    """Why here and not at the neighbour, in the player's words."""

    @property
    def gap(self) -> Seconds:
        """Time there is to breathe."""
        return Seconds(self.next_note - self.start)


@dataclass(frozen=True, slots=True)
class Locks:
    """What the player insists on, by the index of the note before the gap."""

    must: frozenset[int] = frozenset()
    """Breathe here."""

    must_not: frozenset[int] = frozenset()
    """Never breathe here."""


@dataclass(frozen=True, slots=True)
class BreathPlan:
    """Where the player breathes, and where the air goes."""

    breaths: tuple[Breath, ...]
    """In order."""

    ends: tuple[Seconds, ...]
    """When each note stops sounding: shortened where a breath takes from it."""

    air_before: tuple[float, ...]
    """Air at the start of each note, as a fraction of capacity."""

    air_after: tuple[float, ...]
    """Air at the end of each note; below 0 where the player would be dry."""

    flow_lps: tuple[float, ...]
    """Mean flow of each note, in litres per second."""

    lowest_air: float
    """Least air anywhere, as a fraction of capacity."""

    below_half: Seconds
    """Time spent playing below half."""

    high_notes_below_half: int
    """Notes counted as high that begin below half."""

    runs_out: int | None
    """First note at whose end the air is gone; None if it never is."""

    cost: float
    """How much the plan disturbs the music and the player; lower is better."""

    gap: float
    """Proved bound on how much cheaper any plan could be, as a share of `cost`."""

    notices: tuple[str, ...] = ()
    """Warnings in the player's words: locks that cannot be kept, where it runs out."""

    @property
    def is_optimal(self) -> bool:
        """No plan is cheaper, within rounding."""
        return self.gap <= 1e-9  # noqa: PLR2004
