"""A part, its bars, and the places in it.

Conventions
-----------
Places are in quarter notes from the first beat of bar 1, in playing order with
repeats unfolded.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from dataclasses import dataclass
from fractions import Fraction

from coach.last_answers import remembered
from coach.score.metre import Metre
from coach.score.note import Note
from coach.score.tempo import Beats, Seconds, Tempo, TempoMap

JUST_BEFORE_UNITS = 0.1
"""A moment in a room is named as so much before its end, in written units: behind the
beat before it."""

ROUNDING = 1e-6
"""Quarter notes by which a moment may miss its place."""


@dataclass(frozen=True, slots=True)
class Room:
    """Rest that is put into a bar to breathe, and does not stand on the page."""

    at: Beats
    """Where, in quarter notes from the bar's start as it is written; past it."""

    length: Beats
    """How long it is."""


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar as it is played; a repeated bar comes once for each time."""

    number: int
    """Number on the page; a pickup is 0."""

    onset: Beats
    """Where it starts."""

    length: Beats
    """How long it really is: shorter than its metre for a pickup, longer with room."""

    metre: Metre
    """Time signature in force."""

    fifths: int = 0
    """Key signature: sharps if positive, flats if negative."""

    clef: str = "bass"
    """``bass``, ``tenor``, ``alto``, ``treble``, or another sign with its line.

    ``-8`` or ``+8`` behind it: sounding an octave lower or higher."""

    first_beat: Fraction = Fraction(1)
    """Beat of the metre it starts on, in the written unit: past 1 in a pickup and
    in the second half of a bar that a repeat sign divides."""

    rooms: tuple[Room, ...] = ()
    """Rests put in to breathe, in order; `length` counts them."""

    @property
    def end(self) -> Beats:
        """Where the next bar starts."""
        return Beats(self.onset + self.length)

    @property
    def written_length(self) -> Beats:
        """How long it is without what is put in to breathe."""
        return Beats(self.length - sum(room.length for room in self.rooms))

    def played_at(self, written: Fraction) -> Beats:
        """Tell when a place of the page comes, both from the bar's start."""
        put_in = (room.length for room in self.rooms if room.at <= written)
        return Beats(written + sum(put_in))

    def written_at(self, played: float) -> float:
        """Tell which place of the page sounds, both in quarter notes from the start.

        In a room the beat before it goes on.
        """
        put_in = 0.0
        for room in self.rooms:
            begins = float(room.at) + put_in
            if played < begins - ROUNDING:
                break
            put_in += float(room.length)
            if played < begins + float(room.length) - ROUNDING:
                return float(room.at) - JUST_BEFORE_UNITS * float(self.metre.unit_beats)
        return played - put_in


@dataclass(frozen=True, slots=True)
class RehearsalMark:
    """A letter, number or word in a box."""

    at: Beats
    """Where it stands."""

    text: str
    """What stands in the box."""


@dataclass(frozen=True, slots=True)
class Part:
    """One player's line of a piece, as it is played."""

    title: str
    """Title on the page, control characters and markup taken out; never empty."""

    name: str
    """Name of the part, as on the page."""

    source: str
    """File it was read from; empty when made by hand."""

    notes: tuple[Note, ...]
    """Notes in playing order; at least one."""

    bars: tuple[Bar, ...]
    """Bars in playing order; at least one."""

    tempo: Tempo
    """Goal tempo: the page's first mark, or a default that `remarks` tells of."""

    tempo_map: TempoMap
    """All speeds of the page."""

    key_name: str = ""
    """Key in words, as ``B flat major``; empty when not known."""

    transposition: int = 0
    """Semitones from written to sounding pitch."""

    rehearsal_marks: tuple[RehearsalMark, ...] = ()
    """Boxed letters and words."""

    remarks: tuple[str, ...] = ()
    """What the reader had to decide, for the player: line taken, default tempo."""

    is_titled: bool = True
    """The page has a title; without one, `title` is the file's name."""

    left_out: tuple[str, ...] = ()
    """Those of `remarks` that say what stands on the page and is not played."""

    is_tempo_guessed: bool = False
    """No number on the page says how fast it goes."""

    moved_semitones: int = 0
    """How far the player has moved it from what is written."""

    @property
    def start(self) -> Beats:
        """Where the first bar starts: below 0 with a pickup."""
        return self.bars[0].onset

    @property
    def end(self) -> Beats:
        """Where the last bar ends."""
        return self.bars[-1].end

    @property
    def heading(self) -> str:
        """Title and name of the part; once where a tune of a book has but one."""
        return ", ".join(dict.fromkeys(filter(None, (self.title, self.name))))

    @property
    def bar_count(self) -> int:
        """How many bars the page has, a pickup left out."""
        return len({bar.number for bar in self.bars if bar.number > 0})

    def at_tempo(self, bpm: float) -> TempoMap:
        """Give the page's speeds scaled so that the goal beat is `bpm`."""
        return self.tempo_map.faster(bpm / self.tempo.bpm)


@dataclass(frozen=True, slots=True)
class NoteTime:
    """When one note sounds, as written."""

    start: Seconds
    """Its start, in run time."""

    end: Seconds
    """End of its written length, in run time."""


def time_notes(part: Part, tempo_map: TempoMap) -> tuple[NoteTime, ...]:
    """Tell when each note starts and ends, as written, at the speeds of a map."""
    seconds_at = tempo_map.seconds_at
    return tuple(
        NoteTime(seconds_at(start), seconds_at(end))
        for start, end in note_places(part.notes)
    )


@remembered
def note_places(notes: tuple[Note, ...]) -> tuple[tuple[Beats, Beats], ...]:
    """Give start and end of each note: sums of fractions are slow."""
    return tuple((note.onset, note.end) for note in notes)


@dataclass(frozen=True, slots=True)
class Place:
    """A moment as a player names it."""

    bar: int
    """Bar number on the page."""

    beat: float
    """Beat in the bar in the metre's written unit; the first is 1."""


def place_of(part: Part, where: float) -> Place:
    """Name a moment by bar and beat.

    Parameters
    ----------
    where : float
        Quarter notes from the first beat of bar 1 (or of the segment); before
        the first bar or after the last, that bar's count simply goes on.
    """
    starts, units = _bar_starts(part.bars)
    k = max(0, bisect_right(starts, where) - 1)
    bar = part.bars[k]
    beats_on = bar.written_at(where - starts[k]) / units[k]
    return Place(bar.number, float(bar.first_beat) + beats_on)


@remembered
def _bar_starts(bars: tuple[Bar, ...]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Tell where each bar starts, and how long its unit is: fractions are slow."""
    starts = tuple(float(bar.onset) for bar in bars)
    return starts, tuple(float(bar.metre.unit_beats) for bar in bars)


def time_through(part: Part, k: int) -> int:
    """Tell which time a note of the page is played: 2 in a repeat."""
    return _times_through(part.notes)[k]


@remembered
def _times_through(notes: tuple[Note, ...]) -> tuple[int, ...]:
    """Tell of each note which time it is played."""
    played: Counter[tuple[object, ...]] = Counter()
    times = []
    for note in notes:
        place = note.bar, note.beat, note.is_grace
        played[place] += 1
        times.append(played[place])
    return tuple(times)
