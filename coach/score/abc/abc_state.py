"""What holds at a place of a tune: fields read up to there, and who plays.

Sections are those of the abc standard, version 2.1 (Walshaw and others, 2011).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from fractions import Fraction

from coach.score.abc.abc_bars import DraftBar, DraftBars
from coach.score.abc.abc_faults import AbcFault, Notebook, Spot, WrongWords
from coach.score.abc.abc_fields import read_tempo, usual_unit
from coach.score.abc.abc_key import AbcKey, AbcStaff, read_staff
from coach.score.abc.abc_lines import AbcTune
from coach.score.abc.abc_melody import AbcMelody
from coach.score.abc.abc_signs import LETTERS
from coach.score.abc.abc_text import abc_words
from coach.score.abc.abc_voice import AbcVoice
from coach.score.metre import Metre
from coach.score.tempo import Beats

NAME = re.compile(r"\b(?:name|nm)=(?:\"([^\"]+)\"|([^\s\"]+))")


@dataclass(slots=True)
class Flat:
    """A note that may be meant as a flat: ``Bb`` (4.2)."""

    spot: Spot
    bar: int
    text: str


@dataclass(slots=True)
class AbcState:
    """The state of a tune on its way."""

    tune: AbcTune
    book: Notebook = field(default_factory=Notebook)
    metre: Metre | None = None
    unit: Fraction | None = None
    key: AbcKey = field(default_factory=AbcKey)
    staff: AbcStaff = field(default_factory=AbcStaff)
    scope: str = "pitch"
    order: str = ""
    first_number: int = 1
    is_body: bool = False
    tempo: tuple[str, Spot] | None = None
    letters: dict[str, str] = field(default_factory=lambda: dict(LETTERS))
    macros: list[tuple[str, str]] = field(default_factory=list)
    declared: dict[str, str] = field(default_factory=dict)
    """Voices of the header, and what it says of them."""

    voices: dict[str, AbcVoice] = field(default_factory=dict)
    voice: AbcVoice | None = None
    flats: list[Flat] = field(default_factory=list)
    has_other_b: bool = False
    has_lines: bool = True
    end: Spot = field(default_factory=lambda: Spot(1, 1))


def here(state: AbcState) -> AbcVoice:
    """Give the voice that plays; make the first one where none is named."""
    if state.voice is None:
        name = next(iter(state.declared), "")
        said = state.declared.get(name, "")
        state.voice = state.voices[name] = new_voice(state, name, said, state.end)
    return state.voice


def new_voice(state: AbcState, name: str, said: str, spot: Spot) -> AbcVoice:
    """Begin a voice as the header says."""
    staff = read_staff(said, state.staff)
    unit = state.unit or usual_unit(state.metre)
    fifths, clef = state.key.fifths, staff.clef
    first = DraftBar(state.metre, fifths, clef, spot)
    bars = DraftBars(
        state.book,
        first,
        first_number=state.first_number,
        coming=(state.metre, fifths, clef),
        has_lines=state.has_lines,
    )
    melody = AbcMelody(bars, unit, state.key, staff, state.key.name, state.scope)
    voice = AbcVoice(_name(name, said), melody)
    if state.tempo is not None:
        value, at = state.tempo
        state.tempo = None
        try:
            voice.tempi.append(((0, Fraction(0)), read_tempo(value, Beats(unit))))
        except WrongWords as wrong:
            state.book.faults.append(AbcFault(at, None, wrong.what, wrong.hint))
    return voice


def _name(voice: str, said: str) -> str:
    """Name a voice as the tune does, else by what stands behind ``V:``."""
    named = NAME.search(said)
    if named:
        return abc_words(named[1] or named[2])
    return f"Voice {voice}" if voice else ""


def fault(state: AbcState, spot: Spot, what: str, hint: str) -> None:
    """Note down what cannot be read."""
    bar = state.first_number if state.is_body else None
    if state.voice is not None:
        bar = state.voice.melody.bars.number
    state.book.faults.append(AbcFault(spot, bar, what, hint))
