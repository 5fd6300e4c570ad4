"""Held notes divided at the bar lines, to breathe within them.

Where a note is longer than any breath, players breathe at a bar line within it, and
come in again softly (common practice, no published source).
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from coach.planning.breathing.breaths import BreathPlan
from coach.planning.breathing.passage import Passage
from coach.score.note import Note
from coach.score.phrase import Bar, time_notes
from coach.score.tempo import Beats


@dataclass(frozen=True, slots=True)
class DividedNotes:
    """A passage whose held notes are divided, and what became of its notes."""

    passage: Passage
    """The same music in shorter notes."""

    within: frozenset[int]
    """Gaps that lie within a held note."""

    def breathed_before(self, plan: BreathPlan) -> tuple[int, ...]:
        """Name the bars before which a plan breathes within a held note, in order."""
        notes = self.passage.part.notes
        gaps = self.within & {breath.after_note for breath in plan.breaths}
        return tuple(notes[gap + 1].bar for gap in sorted(gaps))


def divide_notes(passage: Passage) -> DividedNotes:
    """Divide every note at the bar lines that it is held over."""
    part = passage.part
    lines = [bar.onset for bar in part.bars]
    notes: list[Note] = []
    ends: list[float] = []
    effort: list[float] = []
    within: set[int] = set()
    for k, note in enumerate(part.notes):
        first, last = bisect_right(lines, note.onset), bisect_left(lines, note.end)
        pieces = list(_pieces(note, part.bars[first:last]))
        within.update(range(len(notes), len(notes) + len(pieces) - 1))
        notes += pieces
        effort += [passage.effort[k]] * len(pieces)
        ends += [0.0] * (len(pieces) - 1) + list(passage.ends[k : k + 1])
    divided = replace(part, notes=tuple(notes))
    return DividedNotes(
        replace(
            passage,
            part=divided,
            times=time_notes(divided, passage.tempo_map),
            ends=tuple(ends),
            effort=tuple(effort),
            strokes_s=(),
        ),
        frozenset(within),
    )


def _pieces(note: Note, inside: Sequence[Bar]) -> Iterator[Note]:
    """Give a note bar by bar; loudness goes on evenly, signs stay at their end.

    Parameters
    ----------
    inside : sequence of Bar
        The bars that begin while it sounds.
    """
    cuts = [note.onset, *(bar.onset for bar in inside), note.end]
    for number, (start, end) in enumerate(pairwise(cuts)):
        is_first, is_last = number == 0, end == note.end
        shares = (float((at - note.onset) / note.length) for at in (start, end))
        louder = note.loud_end - note.loud_start
        loud_start, loud_end = (note.loud_start + louder * at for at in shares)
        bar = note.bar if is_first else inside[number - 1].number
        yield replace(
            note,
            onset=Beats(start),
            length=Beats(end - start),
            bar=bar,
            beat=note.beat if is_first else inside[number - 1].first_beat,
            loud_start=loud_start,
            loud_end=loud_end,
            is_slurred=note.is_slurred and is_first,
            has_fermata=note.has_fermata and is_last,
            breath_mark=note.breath_mark if is_last else "",
            articulations=note.articulations if is_last else frozenset(),
        )
