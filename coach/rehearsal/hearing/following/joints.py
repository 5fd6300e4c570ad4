"""What happens between two notes that follow each other: a breath, or none."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from coach.rehearsal.hearing.due_part import DuePart

A_HAIR_S = 0.01
"""What is written less apart than this is not apart."""


@dataclass(frozen=True, slots=True)
class Joint:
    """Two notes that are played one after the other."""

    before: int
    """Index of the first."""

    after: int
    """And of the second: not the next one where notes are left out between."""

    began: float
    """When the first is due."""

    due: float
    """When the second is due."""

    keys: tuple[int, int]
    """What sounds, as MIDI keys."""

    later: int | None
    """What sounds in the note after the second; None where that is the very last."""

    is_planned: bool
    """A breath is planned between them."""

    has_rest: bool
    """The page has a rest between them."""

    is_slurred: bool
    """The second is begun by a change of pitch alone: nothing parts them."""

    earlier: int | None
    """What sounds in the note before the first; None where that is the very first."""

    lasts: float
    """How long the second is."""

    turn: int
    """Index of the first note from `after` on that is of another pitch than `before`;
    the last of all where there is none."""

    @property
    def repeats(self) -> bool:
        """The first is of the same pitch as the note before it."""
        return self.keys[0] == self.earlier

    @property
    def length(self) -> float:
        """From the beginning of the first to that of the second, as due."""
        return self.due - self.began


def lay_joints(due: DuePart) -> tuple[Joint, ...]:
    """List what lies between the notes that are due, in order.

    Parameters
    ----------
    due : DuePart
        Notes that the plan leaves out are no notes here.
    """
    played = [k for k, note in enumerate(due.notes) if not note.is_left_out]
    planned = {breath.after_note for breath in due.breaths}
    notes = due.notes
    return tuple(
        Joint(
            before=a,
            after=b,
            began=float(notes[a].due),
            due=float(notes[b].due),
            keys=(notes[a].midi, notes[b].midi),
            is_planned=a in planned,
            has_rest=notes[b].due > notes[b - 1].written_end + A_HAIR_S,
            is_slurred=notes[b].is_slurred,
            earlier=notes[a - 1].midi if a else None,
            later=notes[b + 1].midi if b + 1 < len(notes) else None,
            lasts=float(notes[b].end - notes[b].due),
            turn=next(
                (k for k in played if k >= b and notes[k].midi != notes[a].midi),
                played[-1],
            ),
        )
        for a, b in pairwise(played)
    )
