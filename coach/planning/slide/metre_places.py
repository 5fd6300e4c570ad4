"""Where notes stand in the metre: on strong places, and in beats and bars.

Common practice, no published source: the first of two equal notes is strong, and of
three the first alone; so is a note longer than the one before.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from coach.last_answers import remembered
from coach.score.metre import Metre
from coach.score.note import Note
from coach.score.phrase import Bar, Part

TERNARY = 3
EIGHTH = 8
CELL_NOTES = 3
"""A beat with fewer notes is heard together with the next."""


@dataclass(frozen=True, slots=True)
class MetrePlaces:
    """Where the notes of a part stand."""

    strong: tuple[bool, ...]
    """Which notes are the first of two, of three, or longer than the note before."""

    cells: tuple[int, ...]
    """Notes with which a beat begins, or a bar where beats hold too few notes."""


@remembered
def find_metre_places(part: Part) -> MetrePlaces:
    """Tell where each note of a part stands in the metre."""
    by_metre: dict[Metre, dict[tuple[int, int, int, int], tuple[bool, Fraction]]] = {}
    known = by_metre.setdefault(part.bars[0].metre, {})
    strong: list[bool] = []
    cells: list[int] = []
    bar_before: Bar | None = None
    beat_before = Fraction(-1)
    for k, (note, bar) in enumerate(_with_bars(part)):
        if bar is not bar_before:
            known = by_metre.setdefault(bar.metre, {})
        # Fractions and metres are slow to hash, and a part has thousands of notes.
        key = *note.beat.as_integer_ratio(), *note.length.as_integer_ratio()
        if key not in known:
            known[key] = _locate(note.beat, note.length, bar.metre)
        is_strong, beat = known[key]
        is_longer = k > 0 and note.length > part.notes[k - 1].length
        strong.append(is_strong or is_longer)
        if bar is not bar_before or (
            beat != beat_before and k - cells[-1] >= CELL_NOTES
        ):
            cells.append(k)
        bar_before, beat_before = bar, beat
    return MetrePlaces(tuple(strong), tuple(cells))


def _with_bars(part: Part) -> Iterator[tuple[Note, Bar]]:
    """Give every note with the bar that it stands in."""
    bars = iter(part.bars)
    bar = next(bars)
    after = next(bars, None)
    for note in part.notes:
        while after is not None and note.onset >= after.onset:
            bar, after = after, next(bars, None)
        yield note, bar


def _locate(beat: Fraction, length: Fraction, metre: Metre) -> tuple[bool, Fraction]:
    """Tell whether a note is strong, and where its beat begins."""
    place = (beat - 1) * metre.unit_beats
    group_start, group_length = _group(place, metre)
    if length >= group_length:
        return _is_first(place / group_length, metre.length / group_length), group_start
    inside = (place - group_start) / length
    return _is_first(inside, group_length / length), group_start


def _is_first(index: Fraction, count: Fraction) -> bool:
    """Tell whether one of `count` notes or beats is the first of two, or of three."""
    is_in_threes = count % TERNARY == 0 and count % 2 != 0
    return index % (TERNARY if is_in_threes else 2) == 0


def _group(place: Fraction, metre: Metre) -> tuple[Fraction, Fraction]:
    """Find the beat that a place of the bar lies in: its start and its length."""
    start = Fraction(0)
    for units in metre.groups:
        length = units * metre.unit_beats
        if place < start + length:
            return start, length
        start += length
    is_compound = metre.unit >= EIGHTH and metre.count % TERNARY == 0
    length = metre.unit_beats * (TERNARY if is_compound else 1)
    return place - (place - start) % length, length
