"""Choose one line of a music21 part and read its notes; in the child process only."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import accumulate
from math import prod

from music21 import (
    base,
    chord,
    duration,
    expressions,
    harmony,
    note,
    spanner,
    stream,
)
from music21 import pitch as m21_pitch

from coach.edges.scores.in_child.found_signs import NoteSigns
from coach.edges.scores.in_child.pages.music21_note_signs import (
    breath_mark,
    note_signs,
    place_on_page,
)
from coach.score.note import Pitch
from coach.score.page import PageNote
from coach.score.plain_text import plain_words
from coach.score.tempo import Beats

SMALLEST_SIGN = Beats(Fraction(1, 64))
"""The least length of a grace note's sign, whatever the file says: a 256th."""


@dataclass(slots=True)
class ReadLine:
    """The one line of a part that is read."""

    measures: list[list[tuple[Fraction, note.GeneralNote]]] = field(
        default_factory=list
    )
    """Notes and rests of each bar with their offsets in it."""

    has_voices: bool = False
    """Another voice was left out."""

    has_chords: bool = False
    """Lower notes of chords were left out."""

    @property
    def notes(self) -> list[note.GeneralNote]:
        """Everything that sounds, in order."""
        return [
            element
            for measure in self.measures
            for _, element in measure
            if top_pitch(element) is not None
        ]


def exact(length: float | Fraction) -> Beats:
    """Make music21's lengths exact: they are fractions, or floats that are."""
    return Beats(Fraction(length))


def spanned(sign: spanner.Spanner) -> list[base.Music21Object]:
    """Give what a slur, hairpin or bracket spans, in order."""
    return list(sign.getSpannedElements())  # type: ignore[no-untyped-call]


def choose_line(measures: Sequence[stream.Measure]) -> ReadLine:
    """Take the first voice with notes in each bar, and the top of each chord."""
    line = ReadLine()
    for measure in measures:
        voices = [list(_elements(measure, Fraction(0)))]
        voices += [list(_elements(v, exact(v.offset))) for v in measure.voices]
        sounding = [voice for voice in voices if _sounds(voice)]
        line.has_voices |= len(sounding) > 1
        chosen = (sounding or [voice for voice in voices if voice] or [[]])[0]
        line.has_chords |= any(
            isinstance(element, chord.Chord) and len(element.pitches) > 1
            for _, element in chosen
        )
        line.measures.append(chosen)
    return line


def read_notes(
    line: ReadLine,
    spanners: Sequence[spanner.Spanner],
    intervals: Sequence[tuple[int, int]],
    found: Sequence[NoteSigns],
) -> Iterator[tuple[PageNote, ...]]:
    """Read the notes of each bar, with the slurs and glissandi among `spanners`.

    `intervals` are staff steps and semitones from written to sounding pitch, for
    each bar; `found` are one for each note of the line, or none at all.
    """
    ends = list(_ends(line.notes, spanners))
    slurred = _slurred(len(line.notes), ends)
    gliding = {
        first
        for sign, first, last in ends
        if isinstance(sign, spanner.Glissando) and last == first + 1
    }
    k = 0
    for measure, interval in zip(line.measures, intervals, strict=True):
        notes: list[PageNote] = []
        for offset, element in measure:
            top = top_pitch(element)
            if top is None:
                _mark_before(notes, element)
                continue
            printed = _page_note(element, top, offset, interval)
            if k in slurred:
                printed = replace(printed, is_slurred=True)
            if k in gliding:
                signs = printed.articulations | {"glissando"}
                printed = replace(printed, articulations=signs)
            if found:
                printed = _add(printed, found[k])
            notes.append(printed)
            k += 1
        yield tuple(notes)


def top_pitch(element: note.GeneralNote) -> m21_pitch.Pitch | None:
    """Give the highest pitch of a note or chord; None for rests and percussion."""
    if isinstance(element, note.Note):
        return element.pitch
    if isinstance(element, chord.Chord) and element.pitches:
        return max(element.pitches, key=lambda pitch: pitch.ps)
    return None


def spell(pitch: m21_pitch.Pitch) -> Pitch:
    """Spell a pitch; quarter tones go to the semitone below."""
    accidental = pitch.accidental
    alter = 0 if accidental is None else int(accidental.alter // 1)
    return Pitch(pitch.implicitOctave, pitch.step, alter)


def _elements(
    voice: stream.Stream[note.GeneralNote], start: Fraction
) -> Iterator[tuple[Fraction, note.GeneralNote]]:
    """Give the notes and rests of a voice, without chord symbols."""
    for element in voice.notesAndRests:
        if not isinstance(element, harmony.Harmony):
            yield start + exact(element.offset), element


def _sounds(voice: Sequence[tuple[Fraction, note.GeneralNote]]) -> bool:
    """Tell whether a voice has a pitch."""
    return any(top_pitch(element) is not None for _, element in voice)


def _page_note(
    element: note.GeneralNote,
    top: m21_pitch.Pitch,
    offset: Fraction,
    interval: tuple[int, int],
) -> PageNote:
    written = spell(top)
    length = element.duration
    grace = length if isinstance(length, duration.GraceDuration) else None
    tie = element.tie.type if element.tie is not None else ""
    return PageNote(
        offset=Beats(offset),
        length=exact(length.quarterLength) if grace is None else _grace_length(grace),
        written=written,
        sounding=written.moved(*interval) if interval != (0, 0) else written,
        is_tied_on=tie in ("start", "continue"),
        is_tied_over=tie in ("stop", "continue"),
        is_beamed_on=_is_beamed_on(element),
        articulations=frozenset(note_signs(element)),
        is_grace=grace is not None,
        takes_from_before=grace is not None and _is_quick(grace),
        has_fermata=any(
            isinstance(e, expressions.Fermata) for e in element.expressions
        ),
        breath_mark=breath_mark(element),
        tuplet=_tuplet(length),
        marked_position=place_on_page(element),
    )


def _is_beamed_on(element: note.GeneralNote) -> bool:
    """Tell whether the first beam leads on, which is that of eighths."""
    beams = element.beams.beamsList if isinstance(element, note.NotRest) else []
    return any(
        beam.number == 1 and beam.type in ("start", "continue") for beam in beams
    )


def _add(printed: PageNote, signs: NoteSigns) -> PageNote:
    """Complete a note with what music21 left out."""
    quick = signs.takes_from_before
    position = printed.marked_position or plain_words(signs.marked_position)
    return replace(
        printed,
        is_slurred=printed.is_slurred or signs.is_slurred,
        articulations=printed.articulations | signs.articulations,
        takes_from_before=printed.takes_from_before if quick is None else quick,
        has_fermata=printed.has_fermata or signs.has_fermata,
        breath_mark=printed.breath_mark or signs.breath_mark,
        marked_position=position,
    )


def _mark_before(notes: list[PageNote], rest: note.GeneralNote) -> None:
    """Move a breath mark that is written at a rest to the note before."""
    mark = breath_mark(rest)
    if mark and notes:
        notes[-1] = replace(notes[-1], breath_mark=mark)


def _grace_length(grace: duration.GraceDuration) -> Beats:
    """Give the length that a grace note's small sign stands for."""
    if grace.type in duration.typeToDuration:
        length = duration.convertTypeToQuarterLength(grace.type, grace.dots)
        return max(exact(length), SMALLEST_SIGN)
    return SMALLEST_SIGN


def _is_quick(grace: duration.GraceDuration) -> bool:
    """Tell whether a grace note comes out of the note before."""
    return bool(grace.slash) or grace.stealTimePrevious is not None


def _tuplet(length: duration.Duration) -> tuple[int, int] | None:
    """Give actual and normal notes of a tuplet, one inside another multiplied."""
    if not length.tuplets:
        return None
    actual = prod(tuplet.numberNotesActual for tuplet in length.tuplets)
    return actual, prod(tuplet.numberNotesNormal for tuplet in length.tuplets)


def _ends(
    notes: Sequence[note.GeneralNote], spanners: Sequence[spanner.Spanner]
) -> Iterator[tuple[spanner.Spanner, int, int]]:
    """Give the first and the last note of a line that each sign spans."""
    order: dict[int, int] = {}
    for k, element in enumerate(notes):
        order[id(element)] = k
        if isinstance(element, chord.Chord):
            order.update((id(member), k) for member in element.notes)
    for sign in spanners:
        ends = [order.get(id(element)) for element in spanned(sign)]
        if len(ends) > 1 and ends[0] is not None and ends[-1] is not None:
            yield sign, min(ends[0], ends[-1]), max(ends[0], ends[-1])


def _slurred(count: int, ends: Sequence[tuple[spanner.Spanner, int, int]]) -> set[int]:
    """Tell which of so many notes are reached under a slur."""
    changes = [0] * (count + 2)
    for sign, first, last in ends:
        if isinstance(sign, spanner.Slur):
            changes[first + 1] += 1
            changes[last + 1] -= 1
    depths = accumulate(changes)
    return {k for k, depth in enumerate(depths) if depth > 0}
