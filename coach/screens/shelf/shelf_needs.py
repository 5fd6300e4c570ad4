"""What the screens around the shelf need from outside, as small protocols."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Protocol

from coach.screens.staff.engraved.staff_engraver import StaffNeeds

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime

    from coach.score.phrase import Part
    from coach.screens.remembered import ScreenFacts

QUARTER = Fraction(1)


@dataclass(frozen=True, slots=True)
class Etude:
    """One etude on the shelf."""

    title: str
    """Title on the page."""

    path: str
    """File it is read from."""

    key: str = ""
    """Key in words; empty when not known yet."""

    metre: str = ""
    """Time signature; empty when not known yet."""

    lowest: str = ""
    """Lowest written note; empty when not known yet."""

    highest: str = ""
    """Highest written note; empty when not known yet."""

    bars: int = 0
    """Bars; 0 when not known yet."""

    goal_bpm: float = 0.0
    """Tempo on the page; 0 when not known yet."""

    notes_per_s: float = 0.0
    """Notes a second at that tempo, how hard it is; 0 when not known yet."""

    hardest: str = ""
    """Spot that goes wrong most, as ``bar 12``; empty when none is known."""

    last_run: datetime | None = None
    """When it was last rehearsed; None if never."""

    best_clean_bpm: float | None = None
    """Fastest clean run of the whole; None if there is none."""

    is_shipped: bool = False
    """Came with the coach."""

    beat_quarters: Fraction = QUARTER
    """The beat that tempos count, in quarter notes: 3/2 in 6/8."""

    problem: str = ""
    """Why it cannot be opened, in one sentence; empty if it can."""


@dataclass(frozen=True, slots=True)
class Twin:
    """An etude on the shelf that one to be put there would be taken for."""

    title: str
    """Its title."""

    path: str
    """Its file."""

    runs: int
    """How many runs it has."""

    may_go: bool
    """It is the player's own, so that the other may take its place."""

    other_title: str
    """A title that keeps the other apart."""

    shares_runs: bool = True
    """The other would share its runs; else it has no more than its title."""


@dataclass(frozen=True, slots=True)
class FolderEntry:
    """One line of the file picker."""

    name: str
    """What it is called."""

    path: str
    """Where it is."""

    is_folder: bool
    """A folder, to be opened."""


@dataclass(frozen=True, slots=True)
class Folder:
    """A folder as the file picker shows it."""

    path: str
    """Where it is."""

    parent: str
    """The folder around it; its own path at the top."""

    entries: tuple[FolderEntry, ...]
    """Folders first, then score files."""


class OwnNeeds(Protocol):
    """Etudes of the player's own, renamed and thrown away."""

    def rename_etude(self, etude: Etude, name: str) -> str:
        """Give an own etude another name; give its file."""
        ...

    def throw_away(self, path: str) -> str:
        """Take an own etude off the shelf; give the file where it lies now."""
        ...

    def put_back(self, kept: str, path: str) -> None:
        """Put what was thrown away back where it was."""
        ...


class ShelfNeeds(OwnNeeds, StaffNeeds, Protocol):
    """Etudes to choose from."""

    def says(self) -> str:
        """Say who plays, and on what, in a few words (slow)."""
        ...

    def tell_files(self) -> str:
        """Say what is to be known of the player's files, once; mostly nothing."""
        ...

    def list_etudes(self) -> Iterable[Etude]:
        """List the shelf, what was rehearsed last first (slow).

        Where scores must still be read, give each etude as soon as it is.
        """
        ...

    def open_part(self, path: str, part: str | None = None) -> Part:
        """Read a part (slow the first time)."""
        ...

    def read_memory(self) -> ScreenFacts:
        """Give what the screens remember."""
        ...
