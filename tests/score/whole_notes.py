"""Parts of whole notes, whose bars are numbered as a test wants them."""

from __future__ import annotations

from fractions import Fraction

from coach.score.metre import Metre
from coach.score.note import Note, Pitch
from coach.score.phrase import Bar, Part, RehearsalMark
from coach.score.tempo import Beats, Tempo, TempoMap, TempoMark, beats

COMMON = Metre(4, 4)
C4 = Pitch(4, "C")
Row = tuple[object, ...]


def note(
    onset: int | str, length: int | str = 1, *, bar: int = 1, beat: int = 1
) -> Note:
    return Note(beats(onset), beats(length), C4, C4, bar, Fraction(beat))


def make_part(numbers: list[int], *, pickup: int = 0) -> Part:
    """A part of whole notes, after a pickup of some quarters."""
    bars: list[Bar] = []
    notes: list[Note] = []
    place = Fraction(-pickup)
    for number in numbers:
        length = pickup if number == 0 else 4
        first_beat = Fraction(5 - length)
        bars.append(
            Bar(number, Beats(place), beats(length), COMMON, first_beat=first_beat)
        )
        notes.append(note(str(place), length, bar=number, beat=5 - length))
        place += length
    return Part(
        title="Study",
        name="Trombone",
        source="",
        notes=tuple(notes),
        bars=tuple(bars),
        tempo=Tempo(60, beats(1)),
        tempo_map=TempoMap((TempoMark(beats(0), 60), TempoMark(beats(6), 120))),
        rehearsal_marks=(RehearsalMark(beats(4), "A"),),
    )
