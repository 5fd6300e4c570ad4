"""What the player wants to hear in a run: count-in, subdivisions, guide, drone."""

from __future__ import annotations

from dataclasses import dataclass

from coach.errors import PlanError
from coach.score.tempo import Beats, beats

MOST_BARS_BEFORE = 64
MOST_PARTS_OF_A_BEAT = 12
"""Our own choice: more bars, or a finer beat, is a slip of the hand."""


@dataclass(frozen=True, slots=True)
class ClickWishes:
    """What the player wants to hear in a run."""

    count_in_bars: int = 1
    """Whole bars counted before the start."""

    subdivision: int = 1
    """Into how many parts a beat is divided; 1 for beats alone."""

    play_bars: int = 0
    """With `silent_bars`: bars in which the click is heard; 0 for always."""

    silent_bars: int = 0
    """Bars in which it is then silent, to test oneself; 0 for none."""

    fading: bool = False
    """The click dies away, and comes back for the end."""

    guide: bool = False
    """The line is heard too, silent where a breath is planned."""

    drone: bool = False
    """The tonic is held throughout."""

    cues: bool = False
    """A soft sound comes just before each breath."""

    clocks: bool = False
    """MIDI timing clock, start, stop and song position go out to other gear."""

    groups: tuple[int, ...] = ()
    """Grouping of an irregular bar in written units, as (2, 2, 3); empty for the
    page's own."""

    lead_in_bars: int = 0
    """Bars of ordinary click between the count-in and the start."""

    is_sounding: bool = True
    """False: the click is shown and not heard."""

    from_top: Beats = beats(0)
    """How far from the top of the page the part begins, for song position."""

    guide_program: int | None = None
    """General MIDI program of the guide notes, from 0; None for the shipped one."""

    def __post_init__(self) -> None:
        """Refuse what cannot be counted."""
        bars = (
            self.count_in_bars,
            self.lead_in_bars,
            self.play_bars,
            self.silent_bars,
        )
        if min(bars) < 0 or max(bars) > MOST_BARS_BEFORE:
            raise PlanError(
                "A number of bars for the click is out of reach.",
                f"Count-in, lead-in, heard and silent bars go from 0 to "
                f"{MOST_BARS_BEFORE}.",
            )
        if not 1 <= self.subdivision <= MOST_PARTS_OF_A_BEAT:
            raise PlanError(
                f"A beat cannot be divided into {self.subdivision} parts.",
                f"Choose from 1 to {MOST_PARTS_OF_A_BEAT}.",
            )
        if any(size < 1 for size in self.groups):
            raise PlanError(
                "A group of beats has no length.", "Write it as 2+2+3, in units."
            )
