"""The air now and ahead as the run goes, and what to say about it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coach.planning.breaths import Breath
from coach.score.tempo import Seconds


@dataclass(frozen=True, slots=True)
class Glance:
    """All that a player sees in a tenth of a second."""

    time: Seconds
    """Run time that is heard now; the count-in lies before 0."""

    is_counting_in: bool
    """The count-in runs: `count` is to be shown."""

    count: int
    """Beat of the count-in, from 1; 0 outside it."""

    bar: int
    """Bar on the page."""

    beat: float
    """Place in the bar in the metre's written unit, from 1."""

    pulse: int
    """Felt beat of the bar, from 1: the clicked one, as 1 or 2 in 6/8."""

    pulses: int
    """Felt beats in this bar."""

    beat_phase: float
    """How far the felt beat has gone, 0 to 1."""

    note: int | None
    """Note that sounds, as an index in the segment; None in a rest."""

    air: float
    """Air now, as a fraction of capacity; below 0 where the player would be dry."""

    air_at_next_breath: float | None
    """Air planned when the next breath starts; None when none is left."""

    seconds_left: Seconds
    """How long the air lasts at this note's flow (in a rest, at the next note's)."""

    next_breath: Breath | None
    """Breath going on now, or the next one; None when none is left."""

    beats_to_breath: float | None
    """Felt beats until it starts; 0 while it goes on; None when none is left."""

    prompt: str
    """What to say now; empty for nothing."""

    prompt_kind: Literal["full", "catch", "hold", ""]
    """A full breath, a catch breath to top off, or none for a while."""

    is_breathing: bool
    """The planned breath is going on now."""

    is_over: bool
    """The run has ended."""
