"""Read one part of a music21 score into a `Page`; in the child process only."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import accumulate

from music21 import dynamics, spanner, stream

from coach.edges.scores.in_child.found_signs import FoundSigns, NoteSigns
from coach.edges.scores.in_child.pages.music21_bars import (
    clefs_of,
    clefs_within,
    fifths_of,
    intervals_of,
    lengths_of,
    measures_of,
    metres_of,
    name_of_key,
)
from coach.edges.scores.in_child.pages.music21_notes import (
    ReadLine,
    choose_line,
    exact,
    read_notes,
)
from coach.edges.scores.in_child.pages.music21_places import (
    PlacedSign,
    shared_signs,
    signs_of,
)
from coach.edges.scores.in_child.pages.music21_signs import (
    boxed_words,
    find_hairpins,
    growing_words,
    repeat_signs,
    route_word,
    speed_mark,
)
from coach.edges.scores.in_child.sign_sentences import sentences
from coach.score.bar_numbers import number_bars
from coach.score.loudness import Dynamic, Hairpin
from coach.score.page import BoxedWords, Page, PageBar
from coach.score.plain_text import plain_words
from coach.score.speed_words import SpeedMark
from coach.score.tempo import Beats

Add = Callable[[ReadLine], FoundSigns]


def read_page(score: stream.Score, part: stream.Part, title: str, add: Add) -> Page:
    """Read one part of a score as it is printed.

    `add` gives what the format's own reader has to add to the notes of the line.
    """
    measures = measures_of(part)
    line = choose_line(measures)
    found_signs = add(line)
    if found_signs.notes and len(found_signs.notes) != len(line.notes):
        # The format's own reader counts other notes, so its signs have no place.
        found_signs = FoundSigns(left_out=found_signs.left_out)
    spanners = list(score.recurse().getElementsByClass(spanner.Spanner))
    starts = [Beats(exact(m.offset) - exact(measures[0].offset)) for m in measures]
    own = list(signs_of(part, starts))
    signs = sorted([*own, *shared_signs(score, part, starts)], key=lambda s: s.at)
    drafts = _read_bars(part, measures, line, spanners, found_signs.notes)
    words = _route_words(signs, drafts, found_signs)
    routes = repeat_signs(measures, spanners, words, found_signs.endings)
    if len(drafts) > 1 and not line.measures[-1]:
        # Only the last bar line: its sign belongs to the bar before.
        drafts, routes = drafts[:-1], routes[:-1]
    bars, remarks = number_bars(
        [replace(bar, signs=route) for bar, route in zip(drafts, routes, strict=True)]
    )
    places = _places(measures, starts)
    return Page(
        title=plain_words(title),
        name=plain_words(part.partName or ""),
        bars=bars,
        dynamics=_dynamics(own, found_signs, line, places),
        hairpins=_hairpins(own, spanners, found_signs, line, places),
        speeds=_speeds(signs, found_signs, starts),
        boxes=_boxes(signs, found_signs, starts),
        key_name=name_of_key(measures, line.notes),
        transposition=next(intervals_of(part, measures))[1],
        remarks=remarks,
        left_out=(
            *_line_remarks(line),
            *sentences((*found_signs.left_out, *clefs_within(measures)), bars),
        ),
    )


def _read_bars(
    part: stream.Part,
    measures: Sequence[stream.Measure],
    line: ReadLine,
    spanners: Sequence[spanner.Spanner],
    found_signs: Sequence[NoteSigns],
) -> list[PageBar]:
    """Read every bar but for its repeat signs, with the file's numbers."""
    lengths = lengths_of(measures)
    intervals = list(intervals_of(part, measures))
    return [
        PageBar(
            number=measure.number,
            length=length,
            metre=metre,
            notes=notes,
            fifths=fifths,
            clef=clef,
        )
        for measure, length, metre, notes, fifths, clef in zip(
            measures,
            lengths,
            metres_of(measures, lengths),
            read_notes(line, spanners, intervals, found_signs),
            fifths_of(measures),
            clefs_of(measures, line.notes),
            strict=True,
        )
    ]


def _route_words(
    signs: Sequence[PlacedSign], bars: Sequence[PageBar], found_signs: FoundSigns
) -> list[frozenset[str]]:
    """Collect the words that lead through the page, bar by bar.

    Of two coda signs the first says where to leave and the second where to go on.
    """
    words: list[set[str]] = [set() for _ in bars]
    ends = list(accumulate((bar.length for bar in bars), _add_lengths))
    last = len(bars) - 1
    codas: list[tuple[int, int]] = []
    for bar, word in found_signs.words:
        _lead(words, codas, word, (min(bar, last), min(bar, last)))
    for sign in signs:
        # What stands at the end of a bar to be jumped to is the start of the next.
        is_late = sign.at >= ends[sign.bar]
        bars_meant = (sign.bar, min(sign.bar + is_late, last))
        _lead(words, codas, route_word(sign.element), bars_meant)
    codas = sorted(set(codas))
    for here, target in codas:
        is_target = (here, target) == codas[-1]
        words[target if is_target else here].add("coda" if is_target else "to coda")
    return [frozenset(found) for found in words]


def _lead(
    words: list[set[str]], codas: list[tuple[int, int]], word: str, at: tuple[int, int]
) -> None:
    """Note a word at its bar; a coda waits until all of them are known."""
    here, target = at
    if word == "coda":
        codas.append(at)
    elif word:
        words[target if word == "segno" else here].add(word)


def _add_lengths(place: Beats, length: Beats) -> Beats:
    """Go on by a length."""
    return Beats(place + length)


def _places(
    measures: Sequence[stream.Measure], starts: Sequence[Beats]
) -> dict[int, tuple[Beats, Beats]]:
    """Give start and end of every note and rest of a part, by its identity."""
    places: dict[int, tuple[Beats, Beats]] = {}
    for measure, bar_start in zip(measures, starts, strict=True):
        for voice in (measure, *measure.voices):
            start = bar_start
            if voice is not measure:
                start = Beats(start + exact(voice.offset))
            for element in voice.notesAndRests:
                at = Beats(start + exact(element.offset))
                end = Beats(at + exact(element.duration.quarterLength))
                places[id(element)] = (at, end)
    return places


def _speeds(
    signs: Sequence[PlacedSign], found_signs: FoundSigns, starts: Sequence[Beats]
) -> tuple[SpeedMark, ...]:
    """Give the tempo marks of a part, in order of place."""
    found = [mark for s in signs if (mark := speed_mark(s.element, s.at)) is not None]
    found += [
        SpeedMark(
            Beats(starts[mark.bar] + mark.offset),
            mark.quarters_per_minute,
            None if mark.beat is None else Beats(mark.beat),
            plain_words(mark.words),
        )
        for mark in found_signs.speeds
        if mark.bar < len(starts)
    ]
    return tuple(sorted(found, key=lambda mark: mark.at))


def _boxes(
    signs: Sequence[PlacedSign], found_signs: FoundSigns, starts: Sequence[Beats]
) -> tuple[BoxedWords, ...]:
    """Give the rehearsal marks of a part, in order of place."""
    found = [box for s in signs if (box := boxed_words(s.element, s.at)) is not None]
    found += [
        BoxedWords(Beats(starts[bar] + offset), plain_words(text))
        for bar, offset, text in found_signs.boxes
        if bar < len(starts)
    ]
    return tuple(sorted(dict.fromkeys(found), key=lambda box: box.at))


def _dynamics(
    signs: Sequence[PlacedSign],
    found_signs: FoundSigns,
    line: ReadLine,
    places: Mapping[int, tuple[Beats, Beats]],
) -> tuple[Dynamic, ...]:
    """Give the dynamics of a part, in order of place."""
    found = [
        Dynamic(sign.at, plain_words(sign.element.value or ""))
        for sign in signs
        if isinstance(sign.element, dynamics.Dynamic)
    ]
    notes = line.notes
    found += [
        Dynamic(places[id(notes[k])][0], plain_words(name))
        for k, name in found_signs.dynamics
        if k < len(notes)
    ]
    return tuple(sorted(found, key=lambda dynamic: dynamic.at))


def _hairpins(
    signs: Sequence[PlacedSign],
    spanners: Sequence[spanner.Spanner],
    found_signs: FoundSigns,
    line: ReadLine,
    places: Mapping[int, tuple[Beats, Beats]],
) -> tuple[Hairpin, ...]:
    """Give the hairpins of a part, and what it says in words."""
    notes = line.notes
    found = [
        *find_hairpins(spanners, places),
        *(
            Hairpin(places[id(notes[first])][0], places[id(notes[last])][1], direction)
            for first, last, direction in found_signs.hairpins
            if last < len(notes)
        ),
        *(
            Hairpin(sign.at, None, direction)
            for sign in signs
            if (direction := growing_words(sign.element))
        ),
    ]
    return tuple(sorted(found, key=lambda pin: pin.start))


def _line_remarks(line: ReadLine) -> Iterator[str]:
    """Say which line was taken."""
    if line.has_voices:
        yield "Several voices are written; the first one is taken."
    if line.has_chords:
        yield "Chords are written; their top notes are taken."
