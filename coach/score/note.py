"""A note as the page has it: pitch, place, length, how loud, how begun.

Conventions
-----------
Places and lengths are in quarter notes (`Beats`).  Loudness is counted in steps
from mezzo-forte: ``mf`` is 0, ``f`` is 1, ``p`` is -2; a hairpin makes it differ
between the start and the end of a note.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction

from coach.last_answers import remembered
from coach.score.tempo import Beats

SEMITONES_IN_OCTAVE = 12
LETTERS = "CDEFGAB"
STEP_SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
DYNAMIC_STEPS = {
    "ppp": -4,
    "pp": -3,
    "p": -2,
    "mp": -1,
    "mf": 0,
    "f": 1,
    "ff": 2,
    "fff": 3,
}
"""Written dynamics, softest first, and their steps from mezzo-forte."""

TRILL = "trill-mark"
"""Stands at a note that is trilled."""

GLISSANDO = "glissando"
"""Stands at the note that a glissando leads on from."""

LINE_OF_FIFTHS = "FCGDAEB"
"""Letters, each a fifth above the one before; C is the natural of no signature."""

FIFTH = 7
"""Semitones of a fifth."""

FLATS_MORE = 3
"""So far below its tonic on the line of fifths a key borrows notes."""

PITCH_NAME = re.compile(r"([A-G])(#{0,2}|b{0,2})(-?[0-9])")
"""A letter, sharps or flats, and the octave."""

A4_MIDI = 69
A4_HZ = 440.0


@dataclass(frozen=True, slots=True, order=True)
class Pitch:
    """A spelled pitch; middle C is C4."""

    octave: int
    """Octave in scientific pitch notation."""

    step: str
    """Letter, ``"A"`` to ``"G"``."""

    alter: int = 0
    """Semitones up (sharps) or down (flats)."""

    @property
    def midi(self) -> int:
        """Key number, 60 for middle C (MIDI 1.0: A4 is 69)."""
        return (
            (self.octave + 1) * SEMITONES_IN_OCTAVE
            + STEP_SEMITONES[self.step]
            + self.alter
        )

    @property
    def hertz(self) -> float:
        """Frequency in equal temperament at A4 = 440 Hz."""
        return hertz_of(self.midi)

    @property
    def staff_step(self) -> int:
        """Diatonic steps above C0: neighbours on the staff differ by one."""
        return self.octave * len(LETTERS) + LETTERS.index(self.step)

    def moved(self, staff_steps: int, semitones: int) -> Pitch:
        """Give the pitch an interval away, spelled as the interval is.

        Examples
        --------
        >>> str(Pitch(4, "D").moved(-4, -7))  # a fifth down
        'G3'
        """
        octave, letter = divmod(self.staff_step + staff_steps, len(LETTERS))
        natural = Pitch(octave, LETTERS[letter])
        return replace(natural, alter=self.midi + semitones - natural.midi)

    def __str__(self) -> str:
        """Spell it, as ``Bb2`` or ``F#3``."""
        sign = "#" * self.alter if self.alter > 0 else "b" * -self.alter
        return f"{self.step}{sign}{self.octave}"


def hertz_of(midi: int) -> float:
    """Give the frequency of a sounding key, in equal temperament at A4 = 440 Hz."""
    return float(A4_HZ * 2.0 ** ((midi - A4_MIDI) / SEMITONES_IN_OCTAVE))


def pitch_named(name: str) -> Pitch | None:
    """Give the pitch of a name; None if it is none.

    Examples
    --------
    >>> pitch_named("Bb3"), pitch_named("F#-1"), pitch_named("H3")
    (Pitch(octave=3, step='B', alter=-1), Pitch(octave=-1, step='F', alter=1), None)
    """
    found = PITCH_NAME.fullmatch(name)
    if found is None:
        return None
    step, signs, octave = found.groups()
    return Pitch(int(octave), step, signs.count("#") - signs.count("b"))


def spelled_in(midi: int, fifths: int) -> Pitch:
    """Spell a key number as it is usual in a key.

    Parameters
    ----------
    fifths : int
        Key signature: sharps, or flats below 0.

    Returns
    -------
    Pitch
        One of twelve on the line of fifths: the key's own seven, two flatter and
        three sharper ones (common practice, no published source).

    Examples
    --------
    >>> str(spelled_in(54, 0)), str(spelled_in(54, -6)), str(spelled_in(59, -6))
    ('F#3', 'Gb3', 'Cb4')
    """
    lowest = fifths - FLATS_MORE
    place = lowest + (FIFTH * midi - lowest) % SEMITONES_IN_OCTAVE
    alter, letter = divmod(place + 1, len(LINE_OF_FIFTHS))
    step = LINE_OF_FIFTHS[letter]
    octave = (midi - alter - STEP_SEMITONES[step]) // SEMITONES_IN_OCTAVE - 1
    return Pitch(octave, step, alter)


@dataclass(frozen=True, slots=True)
class Note:
    """One note as it is played: ties merged, repeats unfolded."""

    onset: Beats
    """Where it starts."""

    length: Beats
    """How long it is written; greater than 0, also for a grace note."""

    written: Pitch
    """What the player reads."""

    sounding: Pitch
    """What is heard."""

    bar: int
    """Bar number on the page; a pickup is bar 0."""

    beat: Fraction
    """Place in the bar in the metre's written unit; the first is 1.

    A grace note has the place of the note that it is written before."""

    loud_start: float = 0.0
    """Loudness at its start, in steps from mezzo-forte."""

    loud_end: float = 0.0
    """Loudness at its end, in steps from mezzo-forte."""

    is_slurred: bool = False
    """Reached under a written slur from the note before."""

    articulations: frozenset[str] = frozenset()
    """Written signs by their MusicXML names: ``staccato``, ``tenuto``, ``accent`` …"""

    is_grace: bool = False
    """Written small; its time is taken from a neighbour as the page says."""

    has_fermata: bool = False
    """Carries a fermata."""

    breath_mark: str = ""
    """Mark after it on the page: ``""``, ``"breath"`` or ``"caesura"``."""

    tuplet: tuple[int, int] | None = None
    """(actual, normal), as (3, 2) for a triplet; None outside tuplets."""

    marked_position: str = ""
    """Slide position or fingering written above it; empty when none is."""

    @property
    def end(self) -> Beats:
        """Where its written length ends."""
        return Beats(self.onset + self.length)

    @property
    def dynamic(self) -> str:
        """Nearest written dynamic at its start."""
        return min(
            DYNAMIC_STEPS, key=lambda name: abs(DYNAMIC_STEPS[name] - self.loud_start)
        )


@remembered
def keys_of(notes: tuple[Note, ...]) -> tuple[int, ...]:
    """Give the key number of each note as it sounds."""
    return tuple(note.sounding.midi for note in notes)


@remembered
def lengths_of(notes: tuple[Note, ...]) -> tuple[float, ...]:
    """Give the length of each note in quarter notes: fractions are slow to compare."""
    return tuple(float(note.length) for note in notes)


def glides(before: Note, after: Note) -> bool:
    """Tell whether a glissando leads from one note to the next."""
    return GLISSANDO in before.articulations and before.sounding != after.sounding


def closes_trill(before: Note, after: Note) -> bool:
    """Tell whether a grace note closes the trill of the note before it."""
    return TRILL in before.articulations and after.is_grace
