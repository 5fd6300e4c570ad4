"""The segment of a part that one run rehearses: by bars, or from breath to breath.

Conventions
-----------
A segment is cut in whole bars, so that the click can count in to a bar line.  From
breath to breath, the notes outside are taken out and their time is kept: the
player enters in the middle of a bar, as on the page.  Bars are counted in playing
order from 0 here (`first`, `last`); the page's own numbers are called `from_bar`
and `to_bar`.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from coach.errors import ScoreError
from coach.score.bar_numbers import name_bars
from coach.score.note import Note
from coach.score.page_facts import span_of, span_on_page
from coach.score.phrase import Bar, Part
from coach.score.tempo import Beats, beats


@dataclass(frozen=True, slots=True)
class Segment:
    """Where a segment lies in the whole part, and the segment itself."""

    part: Part
    """The segment: a part of its own whose zero is its first beat."""

    first_note: int
    """Index in the whole part of its first note."""

    first: int
    """First bar that is asked for, lead-in left out, in playing order."""

    last: int
    """Last bar that is asked for, overlap left out, in playing order."""

    from_bar: int
    """Its first bar on the page."""

    to_bar: int
    """Its last bar on the page, as `span_on_page` has it."""

    is_whole: bool
    """It is all of the part."""

    from_top: Beats
    """How far from the top of the page it begins, lead-in counted."""


def find_bars(part: Part, from_bar: int, to_bar: int) -> tuple[int, int]:
    """Find bars of the page in playing order.

    Parameters
    ----------
    from_bar, to_bar : int
        Numbers on the page.

    Returns
    -------
    (int, int)
        With repeats, the first way that leads from `from_bar` to `to_bar` without
        leaving them; a repeat between them is played.  If every way leaves them, the
        first way.  All bars of the page are the whole part, with its last repeat.

    Raises
    ------
    ScoreError
        If a bar is not there, or if `to_bar` is never played after `from_bar`.
    """
    numbers = [bar.number for bar in part.bars]
    missing = [bar for bar in (from_bar, to_bar) if bar not in numbers]
    if missing:
        named = " and no ".join(f"bar {bar}" for bar in dict.fromkeys(missing))
        raise ScoreError(
            f"“{part.title}” has no {named}.", f"Choose from {name_bars(numbers)}."
        )
    if to_bar < from_bar:
        raise ScoreError(
            f"In “{part.title}” bar {to_bar} comes before bar {from_bar}.",
            "Name the first bar first.",
        )
    if (from_bar, to_bar) == span_of(part):
        return 0, len(numbers) - 1
    ways = list(_ways(numbers, from_bar, to_bar))
    if not ways:
        raise ScoreError(
            f"In “{part.title}” bar {to_bar} is not played after bar {from_bar}.",
            "Choose other bars.",
        )
    inside = [
        (first, last)
        for first, last in ways
        if all(from_bar <= k <= to_bar for k in numbers[first : last + 1])
    ]
    first, last = (inside or ways)[0]
    while _goes_on(part.bars, last):
        last += 1
    return first, last


def _ways(
    numbers: Sequence[int], from_bar: int, to_bar: int
) -> Iterator[tuple[int, int]]:
    """Give each way from a bar to the next time that another one is played."""
    for first, number in enumerate(numbers):
        if number == from_bar and to_bar in numbers[first:]:
            yield first, numbers.index(to_bar, first)


def _goes_on(bars: Sequence[Bar], k: int) -> bool:
    """Tell whether the next bar is the rest of one that a repeat sign divides."""
    if k + 1 == len(bars):
        return False
    bar, following = bars[k], bars[k + 1]
    return following.number == bar.number and following.first_beat > bar.first_beat


def cut_bars(
    part: Part, first: int, last: int, *, lead_in: int = 0, overlaps: bool = False
) -> Segment:
    """Cut out whole bars.

    Parameters
    ----------
    first, last : int
        Bars in playing order, both played.
    lead_in : int
        Bars played before them, as far as there are any.
    overlaps : bool
        Play on into the next downbeat, for one beat at most.

    Raises
    ------
    ScoreError
        If no note starts in it.
    """
    begin = max(0, first - lead_in)
    bars = list(part.bars[begin : last + 1])
    kept = _notes_between(part.notes, bars[0].onset, bars[-1].end)
    if overlaps and last + 1 < len(part.bars):
        following = part.bars[last + 1]
        index = bisect_left(part.notes, following.onset, key=lambda note: note.onset)
        if index < len(part.notes) and part.notes[index].onset == following.onset:
            beat = min(part.tempo.beat, following.length)
            bars.append(replace(following, length=beat))
            kept = range(kept.start, index + 1)
    if not kept:
        raise ScoreError(
            f"No note starts in {name_bars(bar.number for bar in bars)} "
            f"of “{part.title}”.",
            "Choose bars with notes.",
        )
    return _segment(part, bars, kept, (first, last), begin)


def cut_notes(
    part: Part,
    first_note: int,
    last_note: int,
    *,
    lead_in: int = 0,
    overlaps: bool = False,
) -> Segment:
    """Cut out the notes from one to another, in whole bars.

    Parameters
    ----------
    first_note, last_note : int
        Indices of notes, both played.
    lead_in : int
        Bars before the first note's own in which everything is played, so that
        the player is in the flow when the segment comes.
    overlaps : bool
        Play the note after the last one too: breathe, and be in time.
    """
    first = _bar_of(part, first_note)
    if overlaps:
        last_note = min(last_note + 1, len(part.notes) - 1)
    last = _bar_of(part, last_note)
    begin = max(0, first - lead_in)
    bars = part.bars[begin : last + 1]
    if lead_in:
        first_note = min(first_note, _first_from(part.notes, bars[0].onset))
    return _segment(part, bars, range(first_note, last_note + 1), (first, last), begin)


def _segment(
    part: Part, bars: Sequence[Bar], kept: range, asked: tuple[int, int], begin: int
) -> Segment:
    """Make the segment of some bars and some of their notes."""
    first, last = asked
    from_bar, to_bar = span_on_page(part, first, last)
    is_whole = len(kept) == len(part.notes) and len(bars) == len(part.bars)
    return Segment(
        part=part if is_whole else _rebased(part, bars, kept, keeps_zero=begin == 0),
        first_note=kept.start,
        first=first,
        last=last,
        from_bar=from_bar,
        to_bar=to_bar,
        is_whole=is_whole,
        from_top=Beats(part.bars[begin].onset - part.start),
    )


def _rebased(part: Part, bars: Sequence[Bar], kept: range, *, keeps_zero: bool) -> Part:
    """Make a part of some bars and notes; a pickup at the top stays before zero."""
    start, end = bars[0].onset, bars[-1].end
    zero = beats(0) if keeps_zero else start
    notes = [
        replace(
            note,
            onset=Beats(note.onset - zero),
            length=Beats(min(note.length, end - note.onset)),
        )
        for note in _from_the_start(part.notes[kept.start : kept.stop], start)
    ]
    notes[0] = replace(notes[0], is_slurred=False)
    return replace(
        part,
        notes=tuple(notes),
        bars=tuple(replace(bar, onset=Beats(bar.onset - zero)) for bar in bars),
        tempo_map=part.tempo_map if keeps_zero else part.tempo_map.shifted(zero, end),
        rehearsal_marks=tuple(
            replace(mark, at=Beats(mark.at - zero))
            for mark in part.rehearsal_marks
            if start <= mark.at < end
        ),
    )


def _from_the_start(notes: Sequence[Note], start: Beats) -> list[Note]:
    """Let grace notes that come before the start take their time from the first note.

    There is no note before them that could give it.  Together they take half of the
    first note at most.
    """
    early = [note for note in notes if note.onset < start]
    if not early:
        return list(notes)
    main = notes[len(early)]
    wanted = sum((note.length for note in early), Fraction(0))
    share = min(Fraction(1), main.length / 2 / wanted)
    place, moved = start, []
    for note in early:
        moved.append(replace(note, onset=place, length=Beats(note.length * share)))
        place = moved[-1].end
    moved.append(replace(main, onset=place, length=Beats(main.end - place)))
    return [*moved, *notes[len(moved) :]]


def _notes_between(notes: Sequence[Note], start: Beats, end: Beats) -> range:
    """Tell which notes belong to a segment."""
    return range(_first_from(notes, start), _first_from(notes, end))


def _first_from(notes: Sequence[Note], place: Beats) -> int:
    """Index of the first note from a place on; its grace notes go with it."""
    index = bisect_left(notes, place, key=lambda note: note.onset)
    if index < len(notes):
        main = notes[index]
        while index and _leads_into(notes[index - 1], main):
            index -= 1
    return index


def _leads_into(note: Note, main: Note) -> bool:
    """Tell whether a grace note stands before a main note."""
    return note.is_grace and (note.bar, note.beat) == (main.bar, main.beat)


def _bar_of(part: Part, index: int) -> int:
    """Index in playing order of the bar a note is in; a grace note is in its main's."""
    main = index
    while main + 1 < len(part.notes) and _leads_into(
        part.notes[main], part.notes[main + 1]
    ):
        main += 1
    after = bisect_right(part.bars, part.notes[main].onset, key=lambda bar: bar.onset)
    return max(0, after - 1)
