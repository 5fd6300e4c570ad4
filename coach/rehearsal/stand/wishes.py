"""How the player wants the next run: which bars, how fast, how often, what click."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.hearing.following.follow_wishes import FollowWishes
from coach.score.tempo import Seconds


@dataclass(frozen=True, slots=True)
class RunWishes:
    """What the next run is to be."""

    bpm: float
    """Tempo, in the part's beat."""

    from_bar: int
    """First bar on the page."""

    to_bar: int
    """Last bar on the page."""

    click: ClickWishes
    """Count-in, subdivision and sounds."""

    runs_in_a_row: int = 1
    """How many runs follow each other without a key; at least 1."""

    rest: Seconds = Seconds(0.0)
    """Rest between runs in a row."""

    is_ladder_on: bool = False
    """The tempo moves by itself between runs in a row."""

    segment_by: Literal["bars", "breath"] = "bars"
    """What the next and the previous segment are."""

    lead_in_bars: int = 0
    """Bars played before the segment, to come into it in time."""

    overlaps: bool = False
    """Play on into the next downbeat, so that the seam is rehearsed too."""

    room_beats: float = 0.0
    """Felt beats of rest put in at each breath: 0 plays in time."""

    is_from_end: bool = False
    """Parts are joined from the end of the page to its beginning."""

    is_open: frozenset[Literal["bars", "tempo"]] = frozenset()
    """What nobody has asked for: as the runs advise, so it begins."""

    listens: bool = False
    """The microphone hears the run, and marks are proposed."""

    following: FollowWishes = field(default_factory=FollowWishes)
    """What else the microphone may do, where it is on."""

    word: str = ""
    """What is out of the ordinary, as “straight mute”: kept with each run."""
