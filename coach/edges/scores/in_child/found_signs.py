"""What a format's own reader finds in a score and music21 leaves out.

Notes are counted from 0 along the line that is read, a chord as one note; bars are
counted from 0 in the order of the page.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction


@dataclass(slots=True)
class NoteSigns:
    """Signs at one note."""

    breath_mark: str = ""
    """As in `PageNote`."""

    has_fermata: bool = False
    """A fermata stands over it."""

    articulations: set[str] = field(default_factory=set)
    """Signs by their MusicXML names."""

    is_slurred: bool = False
    """Reached under a slur."""

    takes_from_before: bool | None = None
    """How a grace note is meant; None when the format does not say."""

    marked_position: str = ""
    """Fingering or position."""


@dataclass(frozen=True, slots=True)
class FoundSpeed:
    """A tempo mark."""

    bar: int
    """The bar it stands in."""

    offset: Fraction
    """From the start of that bar, in quarter notes."""

    quarters_per_minute: float | None
    """The speed; None when it is in words only."""

    beat: Fraction | None
    """The note value that is counted; None when none is written."""

    words: str
    """What it says."""


@dataclass(slots=True)
class FoundSigns:
    """All that was found along one line."""

    notes: list[NoteSigns] = field(default_factory=list)
    """One for each note of the line, or none at all."""

    dynamics: list[tuple[int, str]] = field(default_factory=list)
    """Note and the dynamic under it."""

    hairpins: list[tuple[int, int, int]] = field(default_factory=list)
    """First and last note, and 1 for growing or -1 for falling."""

    words: list[tuple[int, str]] = field(default_factory=list)
    """Bar and a word that leads through the page, as in `RepeatSigns`."""

    speeds: list[FoundSpeed] = field(default_factory=list)
    """Tempo marks."""

    boxes: list[tuple[int, Fraction, str]] = field(default_factory=list)
    """Bar, offset in it and text of a rehearsal mark."""

    endings: list[set[int]] = field(default_factory=list)
    """Numbers of the ending that each bar is in, or nothing at all."""

    left_out: list[tuple[int, str]] = field(default_factory=list)
    """Bar and what of it is not played as it is written."""
