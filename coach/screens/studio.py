"""What the screens need from outside: the front door puts it into their hands.

Calls marked *slow* may read files or start a child process, and are made in a worker
thread; all others come back within a few milliseconds and are made in the screens'
own thread.  Any of them may raise a `CoachError`, which a screen shows.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Literal, Protocol

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence
    from datetime import datetime

    from coach.conductor import Conductor
    from coach.planning.breathing.reach import Reach
    from coach.planning.edits import Edits
    from coach.planning.instrument.instrument import InstrumentEntry
    from coach.planning.plan import Plan
    from coach.planning.player_facts import PlayerFacts
    from coach.planning.slide.slide import Placement
    from coach.rehearsal.gear.gear import Clock, Fact, PedalAction
    from coach.rehearsal.gear.gear_choice import GearNow
    from coach.rehearsal.hearing.calibration import Calibration
    from coach.rehearsal.review.review import Review
    from coach.rehearsal.run.run import Run
    from coach.rehearsal.stand.stand import Planner
    from coach.score.etude_key import EtudeKey
    from coach.score.note import Note
    from coach.score.phrase import Part
    from coach.screens.screen_facts import ScreenFacts


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


@dataclass(frozen=True, slots=True)
class Caution:
    """One thing to take care of."""

    title: str
    """In a few words."""

    text: str
    """In a few sentences."""

    source: str = ""
    """Where it comes from."""


class Engraver(Protocol):
    """Makes pictures of staff lines for a terminal that can show them."""

    @property
    def graphics(self) -> Literal["sixel", "kitty"]:
        """How the terminal wants its pictures."""
        ...

    def cell_pixels(self) -> tuple[int, int] | None:
        """Give width and height of a cell as they are now; None when not known."""
        ...

    def engrave(
        self,
        lines: Iterable[tuple[str, int, bool]],
        height: int,
        colours: tuple[str, str, str],
        tell: Callable[[int, int, str, Mapping[str, float]], None],
    ) -> None:
        """Engrave lines soon, and tell of each from another thread.

        Lines are written when the engraver takes them, in its own thread.  One is its
        MEI, its width in pixels, and whether it may end before that;
        what is told is its number, its width, the picture in the terminal's words,
        and the middle of each head by its id, in pixels.
        The colours are ink, staff lines and paper, as ``#rrggbb``.  What cannot be
        engraved is never told of; what is asked later takes the place of what waits.
        """
        ...


class Studio(Protocol):
    """Everything outside the screens."""

    def says(self) -> str:
        """Say who plays and how the click sounds, in a few words (slow)."""
        ...

    def list_etudes(self) -> Iterable[Etude]:
        """List the shelf, what was rehearsed last first (slow).

        Where scores must still be read, give each etude as soon as it is.
        """
        ...

    def import_file(self, path: str) -> Etude:
        """Put a file on the shelf (slow)."""
        ...

    def list_folder(self, path: str) -> Folder:
        """Look into a folder; an empty path is where the player is (slow)."""
        ...

    def list_parts(self, path: str) -> Sequence[str]:
        """Name the parts of a score; one or none needs no choice (slow)."""
        ...

    def open_part(self, path: str, part: str | None = None) -> Part:
        """Read a part (slow the first time)."""
        ...

    def rehearse(self, part: Part) -> Conductor:
        """Make the conductor of a rehearsal, with the player's edits of this part."""
        ...

    def engraver(self) -> Engraver | None:
        """Give what engraves staff lines; None where they are drawn in cells."""
        ...

    def listen(self, tell: Callable[[Fact], None]) -> None:
        """Hand every fact of the gear to `tell`, from any thread."""
        ...

    @property
    def planner(self) -> Planner:
        """What makes plans for this player and instrument."""
        ...

    def ways_to_play(self, note: Note) -> Sequence[Placement]:
        """List the positions or fingerings of a note, the usual one first."""
        ...

    def usual_dial(self) -> float:
        """Give the shipped dial of alternates, 0 to 1."""
        ...

    def tongued(self, plan: Plan) -> Plan:
        """Plan the same tongued throughout in usual positions, to compare (slow)."""
        ...

    def reach(self, part: Part, edits: Edits) -> Reach:
        """Plan at many tempos (slow)."""
        ...

    def list_runs(self, etude: EtudeKey | None = None) -> Sequence[Run]:
        """List runs, oldest first."""
        ...

    def review(self, part: Part) -> Review:
        """Sum up the runs of a part."""
        ...

    def read_memory(self) -> ScreenFacts:
        """Give what the screens remember."""
        ...

    def save_memory(self, facts: ScreenFacts) -> None:
        """Keep what the screens remember."""
        ...

    @property
    def clock(self) -> Clock:
        """What a long tone is timed by."""
        ...

    def read_player(self) -> PlayerFacts:
        """Give what the player has told."""
        ...

    def save_player(self, facts: PlayerFacts) -> None:
        """Keep what the player has told; plans made from now on follow it."""
        ...

    def list_instruments(self) -> Sequence[InstrumentEntry]:
        """List the instruments to choose from, the likeliest first."""
        ...

    def capacity(self, facts: PlayerFacts) -> str:
        """Say the capacity that follows from what was told, in one line."""
        ...

    def read_gear(self) -> GearNow:
        """Look at all gear (slow)."""
        ...

    def choose_gear(self, kind: str, option: str) -> None:
        """Use something from now on; an empty option for none (slow)."""
        ...

    def test_click(self) -> None:
        """Play a bar of clicks (slow)."""
        ...

    def learn_pedal(self, action: PedalAction) -> None:
        """Take the next thing that the pedal sends for an action."""
        ...

    def listen_to_room(self, wanted: bool) -> None:
        """Hear the microphone, whose level is then told; or let it go."""
        ...

    def calibrate(self, go_on: Callable[[float], bool]) -> Calibration | None:
        """Play clicks, hear them, and keep how late they are heard (slow).

        `go_on` is told again and again what share of it is done, and says whether it
        is wanted still; None when it was not.
        """
        ...

    def list_cautions(self) -> Sequence[Caution]:
        """Give the cautions."""
        ...
