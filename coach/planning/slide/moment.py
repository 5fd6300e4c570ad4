"""A note of the walk: how it can be played, and all that its cost depends on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coach.planning.instrument.placement import Articulation, Placement
from coach.planning.slide.manners import Manner
from coach.planning.slide.page_articulation import Begin
from coach.planning.slide.slurs import CLEAN, move_between

SOFT_BEGINS = Begin.SLUR, Begin.GRACE, Begin.SOFT, Begin.GLIDE
"""Where a stroke of the tongue is a soft one."""


@dataclass(frozen=True, slots=True)
class NoteWay:
    """One way to play a note: where, and whether the tongue moves."""

    place: Placement
    """Where."""

    is_stroke: bool
    """The tongue moves."""


@dataclass(frozen=True, slots=True)
class Moment:
    """One note, with all that its cost depends on."""

    ways: tuple[NoteWay, ...]
    """How it can be played."""

    midi: int
    """Sounding key."""

    begin: Begin
    """What the page lets the tongue do."""

    ioi_s: float
    """Time since the note before began."""

    move_s: float
    """Time the arm has to get here."""

    is_break: bool
    """The sound stops before it."""

    is_strong: bool
    """It stands on a strong place."""

    is_free: bool = False
    """It stands in a passage whose manner may be chosen."""

    is_held: bool = False
    """It is not free, but the manner of the notes around it goes on through it."""

    is_turn: bool = False
    """Another manner may begin with it."""

    @property
    def is_against_sets(self) -> bool:
        """Tell whether it must be struck where sets would slur: the pitch again."""
        is_struck = self.begin is Begin.TONGUE and not self.is_break
        return self.is_free and is_struck and not self.is_strong

    def is_exception(self, way: NoteWay, manner: Manner) -> bool:
        """Tell whether a way strikes a note that its passage slurs."""
        slurs = manner.slurs(is_strong=self.is_strong)
        return self.begin is Begin.OPEN and way.is_stroke and slurs


def articulate(
    before: Moment, after: Moment, old: NoteWay, new: NoteWay
) -> Articulation:
    """Name how a note is begun that is reached from another."""
    if not new.is_stroke:
        move = move_between(old.place, new.place, after.midi - before.midi)
        return CLEAN.get(move, Articulation.GLISSANDO)
    is_soft = after.begin in SOFT_BEGINS
    return Articulation.LEGATO_TONGUED if is_soft else Articulation.TONGUED


def find_returns(moments: Sequence[Moment], most_notes: int) -> tuple[int, ...]:
    """Tell how many notes ago each pitch was played just before.

    Parameters
    ----------
    most_notes : int
        How many notes ago counts as just before.

    Returns
    -------
    tuple of int, length n
        0 where it was not, where the sound stopped in between, and where there is
        but one place to play it.
    """
    last: dict[int, int] = {}
    found = []
    for k, moment in enumerate(moments):
        if moment.is_break:
            last.clear()
        back = k - last.get(moment.midi, k)
        if back > most_notes or len({way.place.label for way in moment.ways}) == 1:
            back = 0
        found.append(back)
        last[moment.midi] = k
    return tuple(found)
