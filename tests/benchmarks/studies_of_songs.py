"""Turn songs into studies whose phrase ends are still known.

Folk songs hold few unbroken sixteenths, and etudes come without marked phrases.  So
the notes of a song are broken into figures, the same figure each time the same notes
come, and some notes at phrase ends stay long, or close with a note twice as long as
its neighbours, or run on unbroken.  Where the phrases end does not change.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from random import Random

from coach.score.note import Note, Pitch
from coach.score.phrase import Bar
from coach.score.tempo import Beats
from tests.benchmarks.essen import SHARPS, Song

FIGURES = (
    (0, 1, 0, -1),
    (0, -1, 0, 1),
    (0, 2, 4, 2),
    (0, -2, -3, -2),
    (0, 4, 2, 4),
    (0, -1, -2, -3),
    (0, 1, 2, 3),
    (0, 0, 0, 0),
    (0, 7, 0, 7),
    (0, 2, 1, 3),
    (0, 2, 0, 4),
)
"""Staff steps from the note that is broken up."""

CLOSES = ("long", "twice as long", "unbroken")


def elaborate(song: Song, seed: int) -> Song:
    """Break up a song's notes."""
    dice = Random(f"{song.file} {song.number} {seed}")
    notes = song.part.notes
    common = Counter(note.length for note in notes).most_common(1)[0][0]
    unit = Fraction(common) / dice.choice((2, 3, 4, 4))
    figures = dice.sample(FIGURES, dice.choice((1, 2, 3)))
    share = dice.choice((1.0, 0.95, 0.8))
    close = dice.choice(CLOSES)
    fills_rests = dice.random() < 0.6
    made: list[Note] = []
    ends = []
    last = len(notes) - 1
    for k, note in enumerate(notes):
        is_end = k in song.ends or k == last
        until = notes[k + 1].onset if fills_rests and k < last else note.end
        whole = replace(note, length=Beats(until - note.onset))
        asked = Random(_name_place(song, k, seed))
        stays = asked.random() >= share or (is_end and close == "long")
        if stays or whole.length < 2 * unit:
            made.append(whole)
        else:
            shape = "twice as long" if is_end and close == CLOSES[1] else ""
            figure = asked.choice(figures)
            made += _break_up(whole, unit, figure, shape, song.part.bars[0])
        if k in song.ends:
            ends.append(len(made) - 1)
    part = replace(song.part, notes=tuple(made))
    return replace(song, part=part, ends=tuple(ends))


def _name_place(song: Song, k: int, seed: int) -> str:
    """Give the same name to the same notes, so that they get the same figure."""
    near = song.part.notes[k : k + 2]
    pitches = " ".join(str(note.sounding) for note in near)
    return f"{song.file} {song.number} {seed} {pitches} {near[0].length} {near[0].beat}"


def _break_up(
    note: Note, unit: Fraction, figure: tuple[int, ...], shape: str, bar: Bar
) -> list[Note]:
    """Give the notes of a figure in place of one note."""
    count = int(note.length / unit)
    lengths = [unit] * count
    lengths[-1] += note.length - count * unit
    if shape:
        closing = lengths.pop()
        lengths[-1:] = [lengths[-1] + closing] if lengths else [closing]
    made = []
    at = note.onset
    for k, length in enumerate(lengths):
        pitch = _step(note.sounding, figure[k % len(figure)], bar.fifths)
        beat = note.beat + (at - note.onset) / bar.metre.unit_beats
        made.append(
            replace(
                note,
                onset=at,
                length=Beats(length),
                sounding=pitch,
                written=pitch,
                beat=beat,
            )
        )
        at = Beats(at + length)
    return made


def _step(pitch: Pitch, steps: int, fifths: int) -> Pitch:
    """Go up the scale of the key."""
    if steps == 0:
        return pitch
    octave, letter = divmod(pitch.staff_step + steps, len(SHARPS))
    step = "CDEFGAB"[letter]
    place = SHARPS.index(step)
    return Pitch(octave, step, (place < fifths) - (6 - place < -fifths))


def join(songs: list[Song]) -> Song:
    """Play songs of one metre one after another; each one's end ends a phrase."""
    first = songs[0]
    full = first.part.bars[0].metre.length
    notes = list(first.part.notes)
    bars = list(first.part.bars)
    ends = list(first.ends)
    for song in songs[1:]:
        pickup = -song.part.start
        zero = -(-(notes[-1].end + pickup) // full) * full
        bars = [bar for bar in bars if bar.onset < zero]
        while bars[-1].onset + full < zero:
            bars.append(replace(bars[-1], onset=Beats(bars[-1].onset + full)))
        bars[-1] = replace(bars[-1], length=Beats(zero - bars[-1].onset))
        ends += [len(notes) - 1, *(len(notes) + end for end in song.ends)]
        bars += [
            replace(bar, onset=Beats(bar.onset + zero))
            for bar in song.part.bars
            if bar.onset >= 0
        ]
        notes += [
            replace(note, onset=Beats(note.onset + zero)) for note in song.part.notes
        ]
    part = replace(first.part, notes=tuple(notes), bars=tuple(bars))
    return replace(first, part=part, ends=tuple(ends))
