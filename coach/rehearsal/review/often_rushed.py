"""Which kinds of notes are rushed more often than chance would have it.

A rushed beat is marked where it is heard, so it counts for the note that sounds there.
What a kind of note would get by chance is its share of the time of all that was
played; a kind counts once a run, since one stumble may bring several marks, and only
the newest runs count, since what was mended says nothing of today.

Conventions
-----------
Kinds are told apart by written length; places are bars and beats of the page.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from coach.rehearsal.review.marked import came_to
from coach.rehearsal.review.trouble import tail
from coach.rehearsal.review.trouble_settings import TroubleSettings
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run import Run
from coach.score.note import Note

KINDS = {
    Fraction(1, 8): "thirty-seconds",
    Fraction(1, 6): "sixteenth triplets",
    Fraction(1, 4): "sixteenths",
    Fraction(1, 3): "eighth triplets",
    Fraction(3, 8): "dotted sixteenths",
    Fraction(1, 2): "eighths",
    Fraction(3, 4): "dotted eighths",
}
"""Short notes by their length in quarters."""

PERCENT = 100

SHORT_OF_A_BEAT = Fraction(1)
"""From a quarter on, notes are long enough to be counted out."""


@dataclass(frozen=True, slots=True)
class RushedKind:
    """Notes of one kind that are rushed more often than by chance."""

    notes: str
    """What they are called, as ``sixteenths``."""

    marks: int
    """Runs that rushed them."""

    of: int
    """The same of all kinds, added up."""

    share: float
    """Their share of the time of all that was played."""

    chance: float
    """How likely it is by chance."""

    @property
    def says(self) -> str:
        """Say it in one sentence."""
        return (
            f"{self.notes.capitalize()} are rushed: {self.marks} of "
            f"{self.of} times, though they are {PERCENT * self.share:.0f} % of what is "
            "played."
        )


def name_kind(note: Note) -> str:
    """Name the kind of a note by its length."""
    if note.is_grace:
        return "grace notes"
    if note.length >= SHORT_OF_A_BEAT:
        return "quarters and longer notes"
    return KINDS.get(Fraction(note.length), "other short notes")


def find_rushed(
    notes: Sequence[Note], runs: Sequence[Run], settings: TroubleSettings
) -> tuple[RushedKind, ...]:
    """Find the kinds of notes that are rushed.

    Parameters
    ----------
    notes : sequence of Note
        All notes of the etude.
    runs : sequence of Run
        Its runs of which it is known how they went, oldest first.

    Returns
    -------
    tuple of RushedKind
        The surest first; empty where all notes are of one kind.
    """
    lengths: dict[int, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for note in notes:
        lengths[note.bar][name_kind(note)] += float(note.length)
    time: dict[str, float] = defaultdict(float)
    rushed: Counter[str] = Counter()
    for run in runs[-max(settings.windows_runs) :]:
        for bar, kinds in lengths.items():
            if came_to(run, bar):
                for kind, length in kinds.items():
                    time[kind] += length
        rushed.update(_kinds_rushed(run.marks, notes))
    total, played = rushed.total(), sum(time.values())
    found = [
        RushedKind(kind, marks, total, share, chance)
        for kind, marks in rushed.items()
        if (share := time[kind] / played) < 1.0
        and (chance := len(time) * tail(marks, total, share)) <= settings.chance_share
    ]
    return tuple(sorted(found, key=lambda one: one.chance))


def _kinds_rushed(marks: Sequence[Mark], notes: Sequence[Note]) -> set[str]:
    """Name the kinds of notes that sounded where a run was rushed."""
    places = [(mark.bar, mark.beat) for mark in marks if mark.kind is MarkKind.RUSHED]
    sounding = (
        max(
            (note for note in notes if note.bar == bar and note.beat <= beat),
            key=lambda note: note.beat,
            default=None,
        )
        for bar, beat in places
    )
    return {name_kind(note) for note in sounding if note is not None}
