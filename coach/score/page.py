"""A page as it is printed: bars in written order, with every sign upon them.

Conventions
-----------
Places on the page are in quarter notes from the start of its first bar, bars laid
end to end in written order; repeats are signs here.  `coach.score.played.unfolding`
turns a page into a `Part`, which is what is played.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate

from coach.score.loudness import Dynamic, Hairpin
from coach.score.metre import Metre
from coach.score.note import Pitch
from coach.score.played.repeats import RepeatSigns, play_order
from coach.score.speed_words import SpeedMark
from coach.score.tempo import Beats, beats

NO_SIGNS = RepeatSigns()


@dataclass(frozen=True, slots=True)
class PageNote:
    """A note as it is printed: a tied note is two of them."""

    offset: Beats
    """From the start of its bar."""

    length: Beats
    """Written length; for a grace note that of its small sign."""

    written: Pitch
    """What the player reads."""

    sounding: Pitch
    """What is heard."""

    is_tied_on: bool = False
    """A tie leads on from it."""

    is_tied_over: bool = False
    """A tie leads to it."""

    is_slurred: bool = False
    """Reached under a slur from the note printed before it."""

    is_beamed_on: bool = False
    """A beam leads on from it, if it and the next note are short."""

    articulations: frozenset[str] = frozenset()
    """Written signs by their MusicXML names."""

    is_grace: bool = False
    """Written small."""

    takes_from_before: bool = False
    """A grace note with a slash or after its main note."""

    has_fermata: bool = False
    """Carries a fermata."""

    breath_mark: str = ""
    """``""``, ``"breath"`` or ``"caesura"`` after it."""

    tuplet: tuple[int, int] | None = None
    """(actual, normal); None outside tuplets."""

    marked_position: str = ""
    """Position or fingering written at it."""


@dataclass(frozen=True, slots=True)
class PageBar:
    """One printed bar."""

    number: int
    """Number on the page; a pickup is 0."""

    length: Beats
    """How long it really is."""

    metre: Metre
    """Time signature in force."""

    notes: tuple[PageNote, ...] = ()
    """In order of place, a grace note before its main note."""

    signs: RepeatSigns = NO_SIGNS
    """What it says about the way through the page."""

    fifths: int = 0
    """Key signature."""

    clef: str = "bass"
    """Clef at its start, as in `coach.score.phrase.Bar`."""

    first_beat: Fraction = Fraction(1)
    """Beat of the metre that it starts on."""


@dataclass(frozen=True, slots=True)
class BoxedWords:
    """A rehearsal mark."""

    at: Beats
    """Where it stands."""

    text: str
    """What stands in the box."""


@dataclass(frozen=True, slots=True)
class Page:
    """One player's line as it is printed."""

    title: str
    """Title, fit to show; empty when the page has none."""

    name: str
    """Name of the part; may be empty."""

    bars: tuple[PageBar, ...]
    """In written order."""

    dynamics: tuple[Dynamic, ...] = ()
    """In order of place."""

    hairpins: tuple[Hairpin, ...] = ()
    """In order of start; *cresc.* in words among them."""

    speeds: tuple[SpeedMark, ...] = ()
    """Tempo marks and words, in order of place."""

    boxes: tuple[BoxedWords, ...] = ()
    """Rehearsal marks, in order of place."""

    key_name: str = ""
    """Key in words; empty when not known."""

    transposition: int = 0
    """Semitones from written to sounding pitch."""

    remarks: tuple[str, ...] = ()
    """What the reader had to decide."""

    left_out: tuple[str, ...] = ()
    """What stands on the page and is not played, a sentence each."""

    stretches: tuple[tuple[int, int], ...] = ()
    """Parts of the page as they are played one after another, each from a bar up to
    before another; empty where the page is played from its first bar on."""

    @property
    def bar_starts(self) -> tuple[Beats, ...]:
        """Where each bar starts on the page; one more for its end."""
        lengths = (bar.length for bar in self.bars)
        return tuple(accumulate(lengths, _add, initial=beats(0)))

    def order(self, most: int) -> tuple[int, ...]:
        """Give the bars as they are played, `most` of them and one more at the most."""
        signs = [bar.signs for bar in self.bars]
        played: list[int] = []
        for first, end in self.stretches or ((0, len(signs)),):
            played += (first + k for k in play_order(signs[first:end], most))
            if len(played) > most:
                break
        return tuple(played[: most + 1])


def _add(place: Beats, length: Beats) -> Beats:
    """Go on by a length."""
    return Beats(place + length)
