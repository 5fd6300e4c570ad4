"""What was read of a page, in lines that a player compares with the paper."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from coach.planning.instrument.instrument import Instrument
from coach.planning.instrument.range_fit import say_fit
from coach.planning.naming import name_beat, say_bars, say_count
from coach.score.bar_numbers import name_bars
from coach.score.page_facts import PageFacts, facts_of, way_of
from coach.score.phrase import Bar, Part

MOST_STRETCHES = 12
"""Stretches of the playing order that are told; our own choice."""

MOST_SPEEDS = 6
"""Later speeds that are told; our own choice."""


FEWEST_STEPS = 3
"""Fewer speeds one after the other are no *rit.*; our own choice."""

Speed = tuple[int, float]
"""The bar that a speed sets in, and beats a minute."""


def page_words(part: Part, instrument: Instrument) -> tuple[tuple[str, str], ...]:
    """Sum up what was read.

    Parameters
    ----------
    instrument : Instrument
        What it is played on: its range is held against the part's.

    Returns
    -------
    tuple of (str, str)
        What is told, as ``bars``, and what was read.
    """
    facts = facts_of(part)
    return tuple(_words(part, facts, instrument))


def _words(
    part: Part, facts: PageFacts, instrument: Instrument
) -> Iterator[tuple[str, str]]:
    first, last = facts.bars
    pickup = ", after a pickup" if first == 0 else ", no pickup"
    yield "bars", f"{facts.bar_count}{pickup}; the last is bar {last}"
    yield "notes", f"{facts.note_count} as played, tied ones as one"
    yield "key", _keys(part, facts)
    yield "clef", _turns(facts.clefs)
    yield "metre", _turns(facts.metres)
    yield "order", _order(facts)
    guess = " (guessed)" if part.is_tempo_guessed else ""
    beat = name_beat(float(part.tempo.beat))
    yield "tempo", f"{beat} = {part.tempo.bpm:g}{guess}{_speeds(facts)}"
    yield "range", _range(part, facts)
    if facts.grace_bars:
        count, where = len(facts.grace_bars), name_bars(facts.grace_bars)
        led = "its note" if count == 1 else "their notes"
        yield "graces", f"{say_count(count, 'small note')}, slurred to {led}: {where}"
    fit = say_fit(part, instrument)
    if fit:
        yield "beware", fit
    yield from (("left out", text) for text in facts.left_out)
    yield from (("look at", text) for text in facts.guessed)


def _keys(part: Part, facts: PageFacts) -> str:
    """Name the key and its signs, and where others come; or say that none is given."""
    if not part.key_name and not any(fifths for _, fifths in facts.keys):
        return "none given"
    signatures = [(bar, _signature(fifths)) for bar, fifths in facts.keys]
    return ", ".join(filter(None, (part.key_name, _turns(signatures))))


def _signature(fifths: int) -> str:
    """Count the signs of a key signature."""
    if fifths == 0:
        return "no sharps or flats"
    return say_count(abs(fifths), "sharp" if fifths > 0 else "flat")


def _turns(signs: Sequence[tuple[int, str]]) -> str:
    """Name the first of some signs, and the others with where they stand."""
    (_, name), *more = signs
    return ", ".join((name, *(f"{other} from bar {bar}" for bar, other in more)))


def _speeds(facts: PageFacts) -> str:
    """Name the speeds that come later, and where they set in."""
    words = [_say_speeds(*run) for run in _slopes(facts.speeds)]
    left = len(words) - MOST_SPEEDS
    return "".join(words[:MOST_SPEEDS]) + (f", and {left} more" if left > 0 else "")


def _slopes(speeds: Sequence[Speed]) -> Iterator[list[Speed]]:
    """Put together what goes one way without a stop: a *rit.* is many small steps."""
    run: list[Speed] = []
    for bar, bpm in speeds:
        if run and not _goes_on(run, bar, bpm):
            yield from _as_slope(run)
            run = []
        run.append((bar, bpm))
    yield from _as_slope(run)


def _goes_on(run: Sequence[Speed], bar: int, bpm: float) -> bool:
    """Tell whether a speed goes on the way of those before, with no bar between."""
    last, now = run[-1]
    is_near = last <= bar <= last + 1
    return is_near and (len(run) == 1 or (bpm < now) == (now < run[-2][1]))


def _as_slope(run: list[Speed]) -> Iterator[list[Speed]]:
    """Give a run whole where it has several steps a bar, else speed by speed."""
    bars = [bar for bar, _ in run]
    if len(run) >= FEWEST_STEPS and len(set(bars)) < len(bars):
        yield run
    else:
        yield from ([speed] for speed in run)


def _say_speeds(first: Speed, *more: Speed) -> str:
    """Name a speed that sets in, or the one that a slope leads to."""
    bar, bpm = more[-1] if more else first
    if not more:
        return f", {round(bpm, 1):g} from bar {bar}"
    way = "slower" if bpm < first[1] else "faster"
    return f", evenly {way} to {round(bpm, 1):g} in {say_bars(first[0], bar)}"


def _order(facts: PageFacts) -> str:
    """Name the stretches that are played, one after the other."""
    first, *more = facts.way
    if not more:
        return f"{say_bars(*first)}, straight through"
    return f"bars {_stretches(facts.way)}"


def say_order(bars: Sequence[Bar]) -> str:
    """Say in which order bars are played that do not simply follow on the page.

    Returns
    -------
    str
        ``in the order 3, then 1 to 2, then 4``; empty where they do follow.
    """
    way = way_of(bars)
    return f"in the order {_stretches(way)}" if len(way) > 1 else ""


def say_segment(from_bar: int, to_bar: int, bars: Sequence[Bar]) -> str:
    """Say a segment, and in which order it is played where that is another.

    Parameters
    ----------
    from_bar, to_bar : int
        Its bars on the page.
    bars : sequence of Bar
        As they are played; at least one.
    """
    return ", ".join(filter(None, (say_bars(from_bar, to_bar), say_order(bars))))


def _stretches(way: Sequence[tuple[int, int]]) -> str:
    """Name the stretches of a way, as far as there are not too many."""
    shown = [f"{a}" if a == b else f"{a} to {b}" for a, b in way[:MOST_STRETCHES]]
    left = len(way) - len(shown)
    rest = f", and {left} more" if left else ""
    return f"{', then '.join(shown)}{rest}"


def _range(part: Part, facts: PageFacts) -> str:
    """Name lowest and highest note, as written and, where it differs, as heard."""
    low, high = facts.range
    if not part.transposition:
        return f"{low} to {high}"
    heard = sorted((note.sounding for note in part.notes), key=lambda p: p.midi)
    return f"{low} to {high} as written, {heard[0]} to {heard[-1]} as heard"
