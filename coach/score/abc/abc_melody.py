"""The notes of a voice as they are typed: pitch, length, ties, slurs, small notes.

Sections are those of the abc standard, version 2.1 (Walshaw and others, 2011).

Long, since ties, slurs, tuplets and the signs before a note share one state.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import accumulate

from coach.score.abc.abc_bars import DraftBars
from coach.score.abc.abc_faults import Spot
from coach.score.abc.abc_key import AbcKey, AbcStaff
from coach.score.abc.abc_tokens import ACCIDENTALS, read_length
from coach.score.note import Pitch
from coach.score.tempo import beats

LONE_GRACE, GRACE_IN_GROUP = beats("1/2"), beats("1/4")
"""A small note without a number is an eighth, several are sixteenths: the standard
leaves it open (4.12); so they are engraved (common practice, no published source)."""

USUAL_TUPLETS = {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}
BEATS_OF_OTHERS = {True: 3, False: 2}
MOST_IN_TUPLET = 64
MIDDLE_OCTAVE = 4

STEPS_OF_SEMITONES = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)
"""Staff steps of an interval of 0 to 11 semitones, as it is usually spelled."""


@dataclass(slots=True)
class Marks:
    """Signs that stand before a note and belong to it."""

    articulations: set[str] = field(default_factory=set)
    has_fermata: bool = False
    breath_mark: str = ""
    position: str = ""


@dataclass(slots=True)
class DraftNote:
    """A note or rest on its way."""

    bar: int
    offset: Fraction
    length: Fraction
    base: Fraction
    """Its length as typed, before broken rhythm and tuplets."""

    spot: Spot
    written: Pitch | None
    """None for a rest."""

    sounding: Pitch | None = None
    marks: Marks = field(default_factory=Marks)
    is_tied_on: bool = False
    is_tied_over: bool = False
    is_slurred: bool = False
    is_beamed_on: bool = False
    is_grace: bool = False
    takes_from_before: bool = False
    tuplet: tuple[int, int] | None = None


@dataclass(slots=True)
class _Tuplet:
    """A tuplet that is open."""

    actual: int
    normal: int
    left: int
    spot: Spot


@dataclass(slots=True)
class AbcMelody:
    """The notes of one voice."""

    bars: DraftBars
    unit: Fraction
    key: AbcKey
    staff: AbcStaff
    key_name: str = ""
    """The first key, in words."""

    scope: str = "pitch"
    """How far an accidental reaches: ``not``, ``octave`` or ``pitch`` (11.3)."""

    notes: list[DraftNote] = field(default_factory=list)
    """Everything that sounds, in order."""

    has_chords: bool = False
    marks: Marks = field(default_factory=Marks)
    accidentals: dict[str, tuple[int, int]] = field(default_factory=dict)
    """Letter (and octave), the accidental in force in the bar, and its octave."""

    last: DraftNote | None = None
    """The last note or rest of the bar, for broken rhythm."""

    is_apart: bool = True
    """White space stands before what comes, so that no beam leads to it (4.7)."""

    broken: tuple[Fraction, Fraction, Spot] | None = None
    """Share of the note to come, length of the one before, and where it is written."""

    tuplet: _Tuplet | None = None
    tied: tuple[str, int, int] | None = None
    """Letter, octave and accidental of a note that a tie leads on from."""

    slurs: list[tuple[int, Spot]] = field(default_factory=list)
    """Open slurs: the index of their first note."""

    spans: list[tuple[int, int]] = field(default_factory=list)
    """Closed slurs: the index of their first note, and of the one after the last."""

    def note(self, found: re.Match[str], spot: Spot) -> None:
        """Take in a note (4.1 to 4.3)."""
        pitch = self.pitch(found, spot)
        if pitch is not None:
            self.sound(pitch, read_length(found["length"]), spot)

    def chord(self, found: list[re.Match[str]], length: Fraction, spot: Spot) -> None:
        """Take in a chord: its top note is played, its first one gives the length."""
        pitches = [p for note in found if (p := self.pitch(note, spot)) is not None]
        if not pitches:
            self.bars.fault(spot, "A chord has no notes", "Write one as [CEG]2.")
            return
        self.has_chords |= len({pitch.midi for pitch in pitches}) > 1
        top = max(pitches, key=lambda pitch: pitch.midi)
        self.sound(top, length * read_length(found[0]["length"]), spot)

    def rest(self, length: Fraction, spot: Spot) -> None:
        """Take in a rest (4.5)."""
        if self.tied is not None:
            self._loose_tie(spot)
        self.breathe_behind()
        if self.marks.has_fermata and self.notes:
            self.bars.book.left_out.setdefault("a fermata on a rest", spot.line)
        self.marks = Marks()
        self._place(None, length * self.unit, spot)

    def breathe_behind(self) -> None:
        """Let a breath that is written behind a note be that note's.

        A sign belongs to the note that follows (4.14); with white space behind it, or
        before a bar line or a rest, it can only be meant for the one before.
        """
        if self.marks.breath_mark and self.notes:
            self.notes[-1].marks.breath_mark = self.marks.breath_mark
            self.marks.breath_mark = ""

    def grace(
        self, found: re.Match[str], spot: Spot, *, is_quick: bool, is_alone: bool
    ) -> None:
        """Take in a small note (4.12)."""
        pitch = self.pitch(found, spot)
        unit = LONE_GRACE if is_alone else GRACE_IN_GROUP
        length = read_length(found["length"]) * unit
        if pitch is None or not self._is_length(length, spot):
            return
        bars = self.bars
        self.notes.append(
            DraftNote(
                bar=bars.index,
                offset=bars.here.length,
                length=length,
                base=length,
                spot=spot,
                written=pitch,
                sounding=self._sounding(pitch),
                is_grace=True,
                takes_from_before=is_quick,
            )
        )

    def pitch(self, found: re.Match[str], spot: Spot) -> Pitch | None:
        """Read a pitch; accidentals hold to the end of the bar (4.2, 11.3)."""
        written = found["accidental"]
        if written not in ACCIDENTALS:
            self.bars.fault(
                spot, f"“{written}” is no accidental", "Write ^, ^^, _, __ or =."
            )
            return None
        letter = found["letter"].upper()
        marks = found["octave"]
        octave = MIDDLE_OCTAVE + found["letter"].islower() + self.staff.moved
        octave += marks.count("'") - marks.count(",")
        key = letter if self.scope == "pitch" else f"{letter}{octave}"
        alter = ACCIDENTALS[written]
        if alter is not None and self.scope != "not":
            self.accidentals[key] = (alter, octave)
        elif alter is None:
            alter = self._alter(letter, octave, key, spot)
        return Pitch(octave, letter, alter)

    def sound(self, pitch: Pitch, length: Fraction, spot: Spot) -> None:
        """Place a note with the signs that wait for it."""
        placed = self._place(pitch, length * self.unit, spot)
        if placed is None:
            return
        if self.tied is not None:
            if self.tied == (pitch.step, pitch.octave, pitch.alter):
                placed.is_tied_over = True
            else:
                self._loose_tie(spot)
        self.tied = None
        placed.marks, self.marks = self.marks, Marks()
        self.notes.append(placed)

    def tie(self, spot: Spot) -> None:
        """Tie the last note to the next one (4.11)."""
        last = self.notes[-1] if self.notes else None
        if last is None or last.written is None or self.last is not last:
            self.bars.doubt(spot, "A tie stands behind no note", "Write it as C2-|C2.")
            return
        last.is_tied_on = True
        self.tied = (last.written.step, last.written.octave, last.written.alter)

    def slur(self, text: str, spot: Spot) -> None:
        """Open or close a slur (4.11)."""
        if text != ")":
            self.slurs.append((len(self.notes), spot))
        elif not self.slurs:
            self.bars.doubt(spot, "A slur ends that never began", "Write ( before it.")
        else:
            first, _ = self.slurs.pop()
            self.spans.append((first, len(self.notes)))

    def break_rhythm(self, text: str, spot: Spot) -> None:
        """Lengthen one note and shorten the other (4.4)."""
        last = self.last
        if last is None or self.broken is not None:
            self.bars.fault(
                spot, f"“{text}” stands between no two notes of a bar", "Write A>B."
            )
            return
        short = Fraction(1, 2 ** min(len(text), 9))
        first, second = (2 - short, short) if text[0] == ">" else (short, 2 - short)
        change = last.length * first - last.length
        last.length += change
        self.bars.here.length += change
        self.broken = (second, last.base, spot)

    def open_tuplet(self, text: str, spot: Spot) -> None:
        """Begin a tuplet (4.13)."""
        given = [int(number) if number else 0 for number in text.split(":")]
        actual, normal, count = [*given, 0, 0][:3]
        metre = self.bars.here.metre
        is_compound = metre is not None and metre.is_compound
        normal = normal or USUAL_TUPLETS.get(actual, BEATS_OF_OTHERS[is_compound])
        count = count or actual
        if self.tuplet is not None or not 1 < actual <= MOST_IN_TUPLET:
            self.bars.fault(
                spot,
                f"“({text}” is no group of notes that can be read",
                "Write (3 before three notes, one group at a time.",
            )
        elif normal > MOST_IN_TUPLET or count > MOST_IN_TUPLET:
            self.bars.fault(spot, f"“({text}” is too large", "Write (3 or (5:4.")
        else:
            self.tuplet = _Tuplet(actual, normal, count, spot)

    def bar_line(self, spot: Spot) -> None:
        """Forget what holds in one bar only."""
        self.accidentals.clear()
        self.last = None
        if self.broken is not None:
            self._unfinished_rhythm(self.broken[2])
        if self.tuplet is not None:
            self.bars.doubt(
                spot, "A group such as (3 goes over the bar line", "Count its notes."
            )

    def finish(self, spot: Spot) -> None:
        """Say what is left open at the end."""
        if self.broken is not None:
            self._unfinished_rhythm(self.broken[2])
        if self.tuplet is not None:
            group = self.tuplet
            self.bars.fault(
                group.spot,
                f"A group of {group.actual} lacks {group.left} of its notes",
                "Write all its notes, or how many as (3:2:2.",
            )
        for _, at in self.slurs:
            self.bars.doubt(at, "A slur begins that never ends", "Write ) behind it.")
        if self.tied is not None:
            self._loose_tie(spot)
        if self.marks != Marks():
            self.bars.doubt(
                spot, "A sign stands before no note", "Write it before its note."
            )
        changes = [0] * (len(self.notes) + 2)
        for first, end in self.spans:
            changes[min(first + 1, end)] += 1
            changes[end] -= 1
        for note, depth in zip(self.notes, accumulate(changes), strict=False):
            note.is_slurred = depth > 0

    def _place(
        self, pitch: Pitch | None, length: Fraction, spot: Spot
    ) -> DraftNote | None:
        """Give a note or rest its place and its true length."""
        if not self._is_length(length, spot):
            return None
        base, tuplet = length, None
        if self.broken is not None:
            share, before, at = self.broken
            if base != before:
                self.bars.doubt(
                    at,
                    "Beside > and < stand two notes of different lengths",
                    "Write both lengths as numbers.",
                )
            length, self.broken = length * share, None
        if self.tuplet is not None:
            open_one = self.tuplet
            length = length * open_one.normal / open_one.actual
            tuplet = (open_one.actual, open_one.normal)
            open_one.left -= 1
            self.tuplet = open_one if open_one.left else None
        bars = self.bars
        if bars.is_full:
            self.bar_line(spot)
            bars.line("|", spot)
        offset = bars.here.length
        bars.take(length, spot)
        if self.last is not None:
            self.last.is_beamed_on = not self.is_apart
        self.is_apart = False
        self.last = DraftNote(
            bar=bars.index,
            offset=offset,
            length=length,
            base=base,
            spot=spot,
            written=pitch,
            sounding=None if pitch is None else self._sounding(pitch),
            tuplet=tuplet,
        )
        return self.last

    def _alter(self, letter: str, octave: int, key: str, spot: Spot) -> int:
        """Tell how a note without an accidental is altered."""
        if self.tied is not None and self.tied[:2] == (letter, octave):
            return self.tied[2]
        usual = self.key.alters.get(letter, 0)
        if key not in self.accidentals:
            return usual
        alter, where = self.accidentals[key]
        if where != octave and alter != usual:
            self.bars.doubt(
                spot,
                f"The sign before {letter} holds in every octave up to the bar line",
                "Write =, ^ or _ before this note too.",
            )
        return alter

    def _sounding(self, written: Pitch) -> Pitch:
        """Give what is heard."""
        semitones = self.staff.transpose
        if not semitones:
            return written
        octaves, rest = divmod(abs(semitones), 12)
        steps = octaves * 7 + STEPS_OF_SEMITONES[rest]
        return written.moved(steps if semitones > 0 else -steps, semitones)

    def _is_length(self, length: Fraction, spot: Spot) -> bool:
        """Tell whether a note has a length at all."""
        if length <= 0:
            self.bars.fault(spot, "A note of no length", "Write C, C2 or C/2.")
        return length > 0

    def _loose_tie(self, spot: Spot) -> None:
        """Say that a tie leads nowhere."""
        self.bars.doubt(
            spot, "A tie leads to another note", "A slur is written as (C D)."
        )
        self.tied = None

    def _unfinished_rhythm(self, spot: Spot) -> None:
        """Say that broken rhythm lacks its second note."""
        self.bars.fault(spot, "Behind > or < a note is missing", "Write A>B.")
        self.broken = None
