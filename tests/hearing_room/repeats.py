"""Studies with repeats: the bars of a composed study, in another order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from coach.rehearsal.hearing.due_part import DueBreath, DueNote, DuePart
from coach.score.tempo import Seconds
from tests.hearing_room.studies import Study


def unfold(study: Study, order: Sequence[int]) -> Study:
    """Play the bars of a study in an order; one that comes twice is repeated.

    Breaths stay at the ends of phrases, which are two bars long.
    """
    due = study.due
    length = float(due.bar_starts[1])
    ends = {breath.after_note for breath in due.breaths}
    notes: list[DueNote] = []
    breaths: list[int] = []
    for turn, bar in enumerate(order):
        begins = float(due.bar_starts[bar])
        for k, note in enumerate(due.notes):
            if begins - 1e-6 <= note.due < begins + length - 1e-6:
                if k in ends:
                    breaths.append(len(notes))
                notes.append(_moved(note, turn * length - begins))
    unfolded = DuePart(
        notes=(replace(notes[0], is_slurred=False), *notes[1:]),
        breaths=tuple(
            DueBreath(after, notes[after].end, notes[after + 1].due)
            for after in breaths
            if after + 1 < len(notes)
        ),
        bar_starts=tuple(Seconds(turn * length) for turn in range(len(order))),
        page_bars=tuple(order.index(bar) for bar in order),
        beat=due.beat,
    )
    lasts = (-1, *(breath.after_note for breath in unfolded.breaths), len(notes) - 1)
    phrases = tuple((before + 1, last) for before, last in pairwise(lasts))
    return Study(unfolded, phrases, study.bpm)


def _moved(note: DueNote, by_s: float) -> DueNote:
    """Give a note at another time."""
    due, end, written = (
        Seconds(at + by_s) for at in (note.due, note.end, note.written_end)
    )
    return replace(note, due=due, end=end, written_end=written)
