"""Which notes were missed, and which were others, as far as anybody can tell.

Beside a note that hardly stands out of the noise, others may have been too soft to be
heard: of these, of its own pitch and of its lateness nothing is said.
"""

from __future__ import annotations

from collections.abc import Iterator, Set

from coach.rehearsal.hearing.alignment.taken_notes import Taken
from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.judging.judging_settings import TrustSettings


def find_missed(
    taken: Taken, due: DuePart, passed: Set[int], settings: TrustSettings
) -> tuple[int, ...]:
    """Name the notes that were missed, up to the last one that was heard.

    Parameters
    ----------
    passed : set of int
        Notes that were passed over.
    """
    there = taken.last_of_each()
    faint = faint_notes(taken, settings)
    absent = [
        k
        for k in range(max(there))
        if k not in there and k not in passed and not due.notes[k].is_left_out
    ]
    return tuple(
        k
        for row in _rows(absent)
        if row[0] - 1 not in faint and row[-1] + 1 not in faint
        for k in row
    )


def find_wrong(taken: Taken, due: DuePart, settings: TrustSettings) -> tuple[int, ...]:
    """Name the notes that were heard at another pitch than the page's."""
    faint = faint_notes(taken, settings)
    return tuple(
        k
        for k, note in taken.last_of_each().items()
        if note.midi != due.notes[k].midi and k not in faint
    )


def faint_notes(taken: Taken, settings: TrustSettings) -> set[int]:
    """Name the notes that hardly stand out of the noise."""
    faintest_db = taken.evidence.floor_db + settings.faint_over_noise_db
    return {
        k for k, note in taken.last_of_each().items() if note.level_db < faintest_db
    }


def _rows(notes: list[int]) -> Iterator[list[int]]:
    """Give the rows of notes that follow each other."""
    row: list[int] = []
    for note in notes:
        if row and note != row[-1] + 1:
            yield row
            row = []
        row.append(note)
    if row:
        yield row
