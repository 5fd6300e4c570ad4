"""What a player compares with the paper: bars, notes, repeats, tempo, range."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise
from typing import TypeVar

from coach.score.bar_numbers import name_bars
from coach.score.note import Pitch
from coach.score.page import Page, PageBar, PageNote
from coach.score.phrase import Bar, Part, place_of
from coach.score.tempo import Beats

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class PageFacts:
    """What was read of a page, in ten seconds."""

    bars: tuple[int, int]
    """Numbers of the first and the last bar; a pickup is 0."""

    bar_count: int
    """Bars on the page, a pickup left out."""

    note_count: int
    """Notes as they are played, repeats and small notes among them, ties as one."""

    way: tuple[tuple[int, int], ...]
    """First and last bar of each stretch that is played through, in order: one
    stretch without a repeat or a jump."""

    metres: tuple[tuple[int, str], ...]
    """Each time signature and the bar that it stands in, in the order of the page."""

    keys: tuple[tuple[int, int], ...]
    """Sharps, or flats below 0, of each key signature and the bar that it stands in."""

    clefs: tuple[tuple[int, str], ...]
    """Each clef and the first bar that begins with it."""

    grace_bars: tuple[int, ...]
    """The bar of each small note, as they are played."""

    speeds: tuple[tuple[int, float], ...]
    """Every other speed, in the part's beats a minute, and the bar it sets in."""

    range: tuple[Pitch, Pitch]
    """Lowest and highest written note."""

    left_out: tuple[str, ...]
    """What stands on the page and is not played, a sentence each."""

    guessed: tuple[str, ...]
    """What had to be decided, a sentence each."""


def facts_of(part: Part) -> PageFacts:
    """Sum up what was read of a page.

    Returns
    -------
    PageFacts
        What to compare with the paper; the tempo is the part's own.
    """
    numbers = sorted({bar.number for bar in part.bars})
    written = sorted((note.written for note in part.notes), key=lambda p: p.midi)
    return PageFacts(
        bars=(numbers[0], numbers[-1]),
        bar_count=part.bar_count,
        note_count=len(part.notes),
        way=way_of(part.bars),
        metres=_changes(part, lambda bar: str(bar.metre)),
        keys=_changes(part, lambda bar: bar.fifths),
        clefs=_changes(part, lambda bar: bar.clef),
        grace_bars=tuple(note.bar for note in part.notes if note.is_grace),
        speeds=tuple(dict.fromkeys(_speeds(part))),
        range=(written[0], written[-1]),
        left_out=part.left_out,
        guessed=tuple(text for text in part.remarks if text not in part.left_out),
    )


def span_of(part: Part) -> tuple[int, int]:
    """Give the numbers of the page's first and last bar, in whatever order played."""
    numbers = [bar.number for bar in part.bars]
    return min(numbers), max(numbers)


def span_on_page(part: Part, first: int, last: int) -> tuple[int, int]:
    """Tell between which bars of the page a stretch lies.

    Parameters
    ----------
    first, last : int
        Bars in playing order.

    Returns
    -------
    (int, int)
        Numbers on the page, for which there is a way.  All of a part lies
        between its lowest and its highest, even where it ends with a Fine between
        them; a stretch that goes back ends where it does.
    """
    numbers = [bar.number for bar in part.bars[first : last + 1]]
    if len(numbers) == len(part.bars):
        return span_of(part)
    if numbers[-1] == max(numbers):
        return numbers[0], numbers[-1]
    return numbers[0], next(a for a, b in pairwise(numbers) if b < a)


def way_of(bars: Sequence[Bar]) -> tuple[tuple[int, int], ...]:
    """Tell which stretches of the page are played through, in order.

    Parameters
    ----------
    bars : sequence of Bar
        As they are played; at least one.
    """
    way = [[bars[0].number, bars[0].number]]
    before = bars[0]
    for bar in bars[1:]:
        completes = bar.number == before.number and bar.first_beat > before.first_beat
        if bar.number == before.number + 1 or completes:
            way[-1][1] = bar.number
        else:
            way.append([bar.number, bar.number])
        before = bar
    return tuple((first, last) for first, last in way)


def _changes(part: Part, read: Callable[[Bar], Value]) -> tuple[tuple[int, Value], ...]:
    """Tell in which bars of the page something is other than before."""
    page = {bar.number: read(bar) for bar in reversed(part.bars)}
    found: list[tuple[int, Value]] = []
    for number in sorted(page):
        if not found or found[-1][1] != page[number]:
            found.append((number, page[number]))
    return tuple(found)


def _speeds(part: Part) -> Iterator[tuple[int, float]]:
    """Give each speed that sets in after the first, in playing order."""
    for mark in part.tempo_map.marks[1:]:
        bpm = mark.quarters_per_minute / float(part.tempo.beat)
        yield place_of(part, float(mark.at)).bar, bpm


def page_doubts(page: Page, order: Sequence[int]) -> Iterator[str]:
    """Say what a player should compare with the paper.

    Parameters
    ----------
    order : sequence of int
        The bars in playing order, counted from 0 in the order of the page.
    """
    played = set(order)
    missed = [bar.number for k, bar in enumerate(page.bars) if k not in played]
    if missed:
        yield f"Never played on the way through the repeats: {name_bars(missed)}."
    unclosed = list(_unclosed(page))
    if unclosed:
        yield (
            "A repeat begins that no sign closes, so it is played once: "
            f"{name_bars(unclosed)}."
        )
    leading_on = list(_leading_on(page))
    if leading_on:
        yield (
            "Endings that no repeat sign leads back from are played one after the "
            f"other: {name_bars(leading_on)}."
        )
    open_ties = list(_open_ties(page))
    if open_ties:
        yield (
            "A tie without an end is played to the next note, which is the same: "
            f"{name_bars(open_ties)}."
        )
    divided = list(_divided_ties(page))
    if divided:
        yield (
            "A breath stands within a tie, so the note is begun anew after it: "
            f"{name_bars(divided)}."
        )


def _unclosed(page: Page) -> Iterator[int]:
    """Give the bars of opening repeat signs that no closing one follows."""
    open_at: int | None = None
    for bar in page.bars:
        if bar.signs.opens:
            if open_at is not None:
                yield open_at
            open_at = bar.number
        if bar.signs.times > 1:
            open_at = None
    if open_at is not None:
        yield open_at


def _leading_on(page: Page) -> Iterator[int]:
    """Give the first bars of endings, none of which a repeat sign closes."""
    for is_ending, bars in groupby(page.bars, key=lambda bar: bool(bar.signs.endings)):
        first, *others = bars
        if is_ending and not any(bar.signs.times > 1 for bar in (first, *others)):
            yield first.number


def _open_ties(page: Page) -> Iterator[int]:
    """Give the bars of ties that lead on, where none leads to the next note."""
    for (start, bar, note), (place, other, following) in pairwise(_notes(page)):
        if (
            note.is_tied_on
            and not following.is_tied_over
            and following.sounding.midi == note.sounding.midi
            and start + note.length == place
            and (other is bar or not other.signs.endings)
        ):
            yield bar.number


def _divided_ties(page: Page) -> Iterator[int]:
    """Give the bars of tied notes after which a breath stands."""
    for _, bar, note in _notes(page):
        if note.is_tied_on and note.breath_mark:
            yield bar.number


def _notes(page: Page) -> Iterator[tuple[Beats, PageBar, PageNote]]:
    """Give every note that is no grace note with its place and its bar."""
    for start, bar in zip(page.bar_starts, page.bars, strict=False):
        for note in bar.notes:
            if not note.is_grace:
                yield Beats(start + note.offset), bar, note
