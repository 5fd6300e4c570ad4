"""Tied notes made one, and notes cut off where the next one begins."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from coach.score.note import Note
from coach.score.page import PageNote
from coach.score.played.graces import Grace
from coach.score.tempo import Beats


@dataclass(frozen=True, slots=True)
class PlacedNote:
    """A printed note in its time, its ties still open."""

    note: Note
    printed: PageNote
    continues: bool
    """A tie may lead to it: from the note before it on the page, or into an ending."""


def merge_ties(placed: Iterator[PlacedNote]) -> list[Note | Grace]:
    """Make one note of tied ones; a breath on the page divides them."""
    line: list[Note | Grace] = []
    is_open = False
    for item in placed:
        note, printed = item.note, item.printed
        if note.is_grace:
            line.append(Grace(note, printed.takes_from_before))
            continue
        last = line[-1] if line else None
        if (
            is_open
            and isinstance(last, Note)
            and last.sounding.midi == note.sounding.midi
            and last.end == note.onset
            and (printed.is_tied_over or item.continues)
        ):
            line[-1] = _tie(last, note)
        else:
            line.append(note)
        is_open = printed.is_tied_on and not printed.breath_mark
    return line


def _tie(first: Note, second: Note) -> Note:
    """Join two tied notes."""
    return replace(
        first,
        length=Beats(first.length + second.length),
        loud_end=second.loud_end,
        articulations=first.articulations | second.articulations,
        has_fermata=first.has_fermata or second.has_fermata,
        breath_mark=second.breath_mark,
        marked_position=first.marked_position or second.marked_position,
    )


def clip(notes: Sequence[Note]) -> tuple[Note, ...]:
    """Let no note reach into the next; a slur does not reach over a rest."""
    clipped = [
        replace(note, length=Beats(following.onset - note.onset))
        if note.end > following.onset
        else note
        for note, following in pairwise(notes)
        if following.onset > note.onset
    ]
    clipped.extend(notes[-1:])
    for k, note in enumerate(clipped):
        is_joined = k > 0 and clipped[k - 1].end == note.onset
        if note.is_slurred and not is_joined:
            clipped[k] = replace(note, is_slurred=False)
    return tuple(clipped)
