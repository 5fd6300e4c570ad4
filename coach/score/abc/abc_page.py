"""Make a page of a voice that has been read."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import accumulate

from coach.score.abc.abc_bars import DraftBar
from coach.score.abc.abc_faults import AbcFault, Notebook, line_and_column
from coach.score.abc.abc_fields import AbcTempo
from coach.score.abc.abc_melody import DraftNote
from coach.score.abc.abc_signs import COUNTED_AS
from coach.score.abc.abc_voice import AbcVoice, Moment
from coach.score.bar_numbers import name_bars, number_bars
from coach.score.loudness import Dynamic, Hairpin
from coach.score.metre import Metre, metre_of_length
from coach.score.page import BoxedWords, Page, PageBar, PageNote
from coach.score.plain_text import plain_words
from coach.score.played.repeats import RepeatSigns
from coach.score.speed_words import SpeedMark
from coach.score.tempo import Beats

MOST_NAMED = 8
"""Doubts that a page tells of; our own choice."""


def make_page(
    title: str, voice: AbcVoice, others: Sequence[AbcVoice], order: str, book: Notebook
) -> Page:
    """Make the page of one voice.

    Parameters
    ----------
    others : sequence of AbcVoice
        Other voices of the tune, whose tempo marks hold for all.
    order : str
        Letters of the parts in playing order; empty where bars are played as
        they come.
    """
    bars = voice.melody.bars
    starts = _starts(bars.done)
    pages, _ = number_bars(list(_bars(voice)))
    marks = [_speed(starts, moment, tempo) for moment, tempo in _tempi(voice)]
    for other in others:
        places = _starts(other.melody.bars.done)
        marks += [
            _speed(places, moment, tempo)
            for moment, tempo in other.tempi
            if tempo.quarters_per_minute is not None
        ]
    return Page(
        title=plain_words(title),
        name=plain_words(voice.name),
        bars=pages,
        dynamics=tuple(Dynamic(_at(starts, m), name) for m, name in voice.dynamics),
        hairpins=tuple(sorted(_hairpins(voice, starts), key=lambda pin: pin.start)),
        speeds=tuple(sorted(dict.fromkeys(marks), key=lambda mark: mark.at)),
        boxes=tuple(
            BoxedWords(_at(starts, m), plain_words(text)) for m, text in voice.boxes
        ),
        key_name=voice.melody.key_name,
        transposition=voice.melody.staff.transpose,
        remarks=tuple(_doubts(voice, book)),
        left_out=(*_left_out(voice, book), *_ornaments(pages)),
        stretches=_stretches(voice, order),
    )


def _starts(bars: Sequence[DraftBar]) -> list[Beats]:
    """Tell where each bar starts, and where the last one ends."""
    lengths = (bar.length for bar in bars)
    return [Beats(at) for at in accumulate(lengths, initial=Fraction(0))]


def _at(starts: Sequence[Beats], moment: Moment) -> Beats:
    """Turn a moment into a place on the page."""
    bar, offset = moment
    return Beats(starts[min(bar, len(starts) - 1)] + offset)


def _bars(voice: AbcVoice) -> Iterator[PageBar]:
    """Give the bars with their notes."""
    drafts = voice.melody.bars
    notes: list[list[PageNote]] = [[] for _ in drafts.done]
    for note in voice.melody.notes:
        # Small notes behind the last bar line end its last note.
        notes[min(note.bar, len(notes) - 1)].append(_note(note))
    words = _words(drafts.done, drafts.codas)
    for bar, inside, here in zip(drafts.done, notes, words, strict=True):
        yield PageBar(
            number=bar.number,
            length=Beats(bar.length),
            metre=bar.metre or metre_of_length(Beats(bar.length)),
            notes=tuple(inside),
            signs=RepeatSigns(bar.opens, bar.times, bar.endings, frozenset(here)),
            fifths=bar.fifths,
            clef=bar.clef,
        )


def _words(
    bars: Sequence[DraftBar], codas: Sequence[tuple[int, int]]
) -> list[set[str]]:
    """Give the words of each bar: of two codas one leaves here for the other."""
    words = [set(bar.words) for bar in bars]
    last = len(bars) - 1
    for k, (ends, begins) in enumerate(codas):
        is_target = k == len(codas) - 1
        words[min(begins if is_target else ends, last)].add(
            "coda" if is_target else "to coda"
        )
    return words


def _note(note: DraftNote) -> PageNote:
    """Print one note."""
    assert note.written is not None
    return PageNote(
        offset=Beats(note.offset),
        length=Beats(note.length),
        written=note.written,
        sounding=note.sounding or note.written,
        is_tied_on=note.is_tied_on,
        is_tied_over=note.is_tied_over,
        is_slurred=note.is_slurred,
        is_beamed_on=note.is_beamed_on,
        articulations=frozenset(note.marks.articulations),
        is_grace=note.is_grace,
        takes_from_before=note.takes_from_before,
        has_fermata=note.marks.has_fermata,
        breath_mark=note.marks.breath_mark,
        tuplet=note.tuplet,
        marked_position=note.marks.position,
    )


def _tempi(voice: AbcVoice) -> Iterator[tuple[Moment, AbcTempo]]:
    """Give the tempi that hold: of several numbers at one moment the last.

    What stands over the first note goes before what the header says.
    """
    last = {m: tempo for m, tempo in voice.tempi if tempo.quarters_per_minute}
    for moment, tempo in voice.tempi:
        if not tempo.quarters_per_minute or tempo is last[moment]:
            yield moment, tempo


def _speed(starts: Sequence[Beats], moment: Moment, tempo: AbcTempo) -> SpeedMark:
    """Print a tempo mark."""
    return SpeedMark(
        _at(starts, moment),
        tempo.quarters_per_minute,
        tempo.beat,
        plain_words(tempo.words),
    )


def _hairpins(voice: AbcVoice, starts: Sequence[Beats]) -> Iterator[Hairpin]:
    """Print hairpins and *cresc.* in words."""
    for start, end, direction in voice.growths:
        first = _at(starts, start)
        if end is None:
            yield Hairpin(first, None, direction)
        elif _at(starts, end) > first:
            yield Hairpin(first, _at(starts, end), direction)


def _stretches(voice: AbcVoice, order: str) -> tuple[tuple[int, int], ...]:
    """Give the bars of each part in the order that the header says (3.1.9)."""
    parts = voice.melody.bars.parts
    count = len(voice.melody.bars.done)
    if not order or not parts:
        return ()
    ends = [begin for _, begin in parts[1:]] + [count]
    spans: dict[str, tuple[int, int]] = {}
    for (letter, begin), end in zip(parts, ends, strict=True):
        if begin < end:
            spans.setdefault(letter, (begin, end))
    intro = [(0, parts[0][1])] if parts[0][1] else []
    return (*intro, *(spans[letter] for letter in order if letter in spans))


def _left_out(voice: AbcVoice, book: Notebook) -> Iterator[str]:
    """Say what is not played."""
    if voice.has_overlays:
        yield "Several voices are written; the first one is taken."
    if voice.melody.has_chords:
        yield "Chords are written; their top notes are taken."
    if book.left_out:
        named = ", ".join(
            f"{what} (line {line})" for what, line in book.left_out.items()
        )
        yield f"Left out: {named}."


def _ornaments(bars: Sequence[PageBar]) -> Iterator[str]:
    """Say how trills and ornaments are counted, and where they stand."""
    found: dict[str, list[int]] = {}
    for bar in bars:
        for note in bar.notes:
            for sign in sorted(note.articulations & COUNTED_AS.keys()):
                found.setdefault(COUNTED_AS[sign], []).append(bar.number)
    for what, numbers in found.items():
        yield f"{what}: {name_bars(numbers)}."


def _doubts(voice: AbcVoice, book: Notebook) -> Iterator[str]:
    """Say what looks like a slip."""
    doubts = sorted([*book.doubts, *odd_bars(voice)], key=line_and_column)
    for doubt in doubts[:MOST_NAMED]:
        yield f"{doubt.where[0].upper()}{doubt.where[1:]}: {doubt.what}. {doubt.hint}"
    if len(doubts) > MOST_NAMED:
        yield f"And {len(doubts) - MOST_NAMED} more places like these."


SIX_FOR_TWO = 6, 2
SIXES_HINT = "(6 is six in the time of two; for six in the time of four write (6:4:6."
"""What is easily mistyped: two triplets under one six (4.13)."""


def odd_bars(voice: AbcVoice) -> Iterator[AbcFault]:
    """Name the bars that are longer or shorter than their time signature.

    A bar that a repeat sign divides may be short, and so may a pickup and the last
    bar where the one completes the other.
    """
    bars = voice.melody.bars.done
    sixes = {note.bar for note in voice.melody.notes if note.tuplet == SIX_FOR_TWO}
    back = Fraction(0)
    for k, bar in enumerate(bars):
        metre = bar.metre
        if bar.opens or k == 0 or (bars[k - 1].times > 1 and not bar.endings):
            back = bar.length
        if metre is None or bar.first + bar.length == metre.length:
            continue
        is_short = bar.length < metre.length
        if is_short and _goes_on(bars, k, back):
            continue
        hint = "Is a note too long, or a | missing?"
        if is_short:
            hint = SIXES_HINT if k in sixes else "Count its notes."
        yield AbcFault(
            bar.spot,
            bar.number,
            f"The bar holds {_count(bar.length, metre)}, {metre} has {metre.count}; "
            "it is played as written",
            hint,
        )
    if bars[0].number == 0 and not _is_completed(bars):
        what = "The first bar is short, and counts as a pickup, bar 0"
        yield AbcFault(bars[0].spot, 0, what, "Count its notes if it is none.")


def _goes_on(bars: Sequence[DraftBar], k: int, back: Fraction) -> bool:
    """Tell whether what a short bar lacks follows it."""
    bar, metre = bars[k], bars[k].metre
    if k + 1 < len(bars) and bars[k + 1].first == bar.first + bar.length:
        return True
    lacks = Fraction(0) if metre is None else metre.length - bar.first - bar.length
    if bar.times > 1 and lacks == back:
        return True
    return k + 1 == len(bars) and lacks in (back, bars[0].length)


def _is_completed(bars: Sequence[DraftBar]) -> bool:
    """Tell whether a later bar is as short as if the pickup had been taken of it."""
    pickup = bars[0]
    return any(
        bar.metre == pickup.metre and bar.length == pickup.first for bar in bars[1:]
    )


def _count(length: Fraction, metre: Metre) -> str:
    """Count a length in the metre's unit."""
    units = length / metre.unit_beats
    whole, rest = divmod(units, 1)
    shown = f"{whole}" if whole or not rest else ""
    return f"{shown} {rest}".strip() if rest else shown
