"""What is in force in each bar of a music21 part; in the child process only."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from music21 import clef, instrument, meter, note, stream

from coach.edges.scores.in_child.pages.music21_notes import exact, top_pitch
from coach.edges.scores.in_child.pages.music21_signs import (
    clef_name,
    key_name,
    metre_of,
)
from coach.edges.scores.in_child.sign_sentences import CLEF_WITHIN
from coach.score.metre import Metre, metre_of_length
from coach.score.tempo import Beats

MIDDLE_C = 60
"""Key number of MIDI 1.0; a part whose notes lie below on average is in bass clef."""


def measures_of(part: stream.Part) -> list[stream.Measure]:
    """Give a part's bars; make them where the file has none."""
    measures = list(part.getElementsByClass(stream.Measure))
    if measures:
        return measures
    made = part.makeMeasures()  # type: ignore[no-untyped-call]
    return list(made.getElementsByClass(stream.Measure))


def lengths_of(measures: Sequence[stream.Measure]) -> list[Beats]:
    """Give how long each bar really is: to the next one, or to its last note."""
    starts = [exact(measure.offset) for measure in measures]
    lengths = [Beats(end - start) for start, end in pairwise(starts)]
    last = measures[-1]
    content = exact(last.highestTime)
    full = exact(last.barDuration.quarterLength)
    return [*lengths, content if content > 0 else full]


def metres_of(
    measures: Sequence[stream.Measure], lengths: Sequence[Beats]
) -> Iterator[Metre]:
    """Give the time signature in force in each bar; a free bar is as long as it is."""
    signs = [measure.timeSignature for measure in measures]
    metre = next((metre_of(sign) for sign in signs if sign is not None), None)
    for measure, sign, length in zip(measures, signs, lengths, strict=True):
        if sign is not None:
            metre = metre_of(sign)
        elif measure.getElementsByClass(meter.SenzaMisuraTimeSignature):
            metre = None
        yield metre or metre_of_length(length)


def fifths_of(measures: Sequence[stream.Measure]) -> Iterator[int]:
    """Give the key signature in force in each bar."""
    fifths = 0
    for measure in measures:
        sign = measure.keySignature
        if sign is not None and sign.sharps is not None:
            fifths = sign.sharps
        yield fifths


def name_of_key(
    measures: Sequence[stream.Measure], notes: Sequence[note.GeneralNote]
) -> str:
    """Name the first key; empty when there is no key signature."""
    for measure in measures:
        sign = measure.keySignature
        if sign is not None and sign.sharps is not None:
            last = top_pitch(notes[-1]) if notes else None
            return key_name(sign, last.name if last is not None else "")
    return ""


def clefs_of(
    measures: Sequence[stream.Measure], notes: Sequence[note.GeneralNote]
) -> Iterator[str]:
    """Give the clef at the start of each bar."""
    now = ""
    for measure in measures:
        signs = _clefs_in(measure)
        for offset, sign in signs:
            if offset == 0 and sign.sign is not None:
                now = clef_name(sign)
        if not now:
            now = _likely_clef(notes)
        yield now
        # A clef in the middle of a bar holds from the next bar on.
        now = next((clef_name(s) for o, s in reversed(signs) if o > 0), now)


def clefs_within(measures: Sequence[stream.Measure]) -> Iterator[tuple[int, str]]:
    """Tell in which bars another clef comes before the last note."""
    for k, measure in enumerate(measures):
        notes = [exact(n.offset) for v in (measure, *measure.voices) for n in v.notes]
        last = max(notes, default=Fraction(0))
        if any(0 < place <= last for place, _ in _clefs_in(measure)):
            yield k, CLEF_WITHIN


def _clefs_in(measure: stream.Measure) -> list[tuple[Fraction, clef.Clef]]:
    """Give each clef of a bar and its place; MEI writes one into a voice."""
    signs = (
        (exact(sign.offset), sign)
        for voice in (measure, *measure.voices)
        for sign in voice.getElementsByClass(clef.Clef)
    )
    return sorted(signs, key=lambda placed: placed[0])


def _likely_clef(notes: Sequence[note.GeneralNote]) -> str:
    """Choose a clef for notes that have none, as MIDI files do."""
    keys = [pitch.ps for element in notes if (pitch := top_pitch(element)) is not None]
    return "treble" if keys and sum(keys) / len(keys) >= MIDDLE_C else "bass"


def intervals_of(
    part: stream.Part, measures: Sequence[stream.Measure]
) -> Iterator[tuple[int, int]]:
    """Give staff steps and semitones from written to sounding pitch in each bar.

    Only where music21 says that the part is written, as MusicXML and MEI are; other
    formats hold sounding pitches.
    """
    # music21 keeps the first player, and later ones, in the part or in their bar.
    players = [
        (exact(player.getOffsetInHierarchy(part)), _interval(player))
        for player in part.recurse().getElementsByClass(instrument.Instrument)
    ]
    for measure in measures:
        place = exact(measure.offset)
        here = [interval for at, interval in players if at <= place]
        is_written = part.atSoundingPitch is False and here
        yield here[-1] if is_written else (0, 0)


def _interval(player: instrument.Instrument) -> tuple[int, int]:
    """Give the interval of an instrument."""
    interval = player.transposition
    if interval is None:
        return 0, 0
    return interval.diatonic.generic.staffDistance, int(Fraction(interval.semitones))
