"""Do what the fields and directives of a tune say.

Sections are those of the abc standard, version 2.1 (Walshaw and others, 2011).
"""

from __future__ import annotations

import re
from collections.abc import Callable

from coach.score.abc.abc_faults import Spot, WrongWords
from coach.score.abc.abc_fields import read_metre, read_parts, read_tempo, read_unit
from coach.score.abc.abc_key import read_key, read_staff
from coach.score.abc.abc_melody import AbcMelody
from coach.score.abc.abc_state import AbcState, fault, here, new_voice
from coach.score.abc.abc_text import abc_words
from coach.score.tempo import Beats

WORDS_ONLY = frozenset("ABCDEFGHNORSTWXZrw")
"""Fields that say something about a tune and nothing about its notes (3.1)."""

HEADER_ONLY = frozenset("ABCDFGHOSXZ")
"""Fields that may not stand in the body (3.1)."""

SCOPES = ("not", "octave", "pitch")
SOUNDING = ("transpose", "drum", "beatmod", "beataccents", "droneon", "gchord")
MOST_MACROS = 50
LONGEST_MACRO = 200
"""Macros of a tune, and signs that one stands for; our own choice."""

VOICE = re.compile(r"\s*(?P<name>[^\s\]]+)\s*(?P<rest>.*)")
USER = re.compile(r"\s*([H-Wh-w~])\s*=\s*(?:!([^!]*)!|\+([^+]*)\+|\"([^\"]*)\")\s*")
MACRO = re.compile(r"\s*(\S[^=]*?)\s*=\s*(.*)")


def read_field(state: AbcState, name: str, value: str, spot: Spot) -> None:
    """Read a field (3.1), of the header, of the body, or in a line of music."""
    if state.is_body and name in HEADER_ONLY:
        fault(
            state,
            spot,
            f"“{name}:” belongs above the line that begins with K:",
            "Move it there.",
        )
    read = FIELDS.get(name)
    if read is not None:
        try:
            read(state, value, spot)
        except WrongWords as wrong:
            fault(state, spot, wrong.what, wrong.hint)
    elif name == "s":
        fault(
            state,
            spot,
            "Signs in a line of their own (s:) are not read",
            "Write each sign before its note, as !f!C.",
        )
    elif name not in WORDS_ONLY and name != "+":
        fault(state, spot, f"“{name}:” is no field of a tune", "Take it out.")


def _metre(state: AbcState, value: str, _spot: Spot) -> None:
    """Read ``M:`` (3.1.6)."""
    metre = read_metre(value)
    if not state.is_body:
        state.metre = metre
        return
    voice = here(state)
    bars, melody = voice.melody.bars, voice.melody
    bars.turn(metre=metre, fifths=melody.key.fifths, clef=melody.staff.clef)


def _unit(state: AbcState, value: str, _spot: Spot) -> None:
    """Read ``L:`` (3.1.7)."""
    unit = read_unit(value)
    if state.is_body:
        here(state).melody.unit = unit
    else:
        state.unit = unit


def _key(state: AbcState, value: str, _spot: Spot) -> None:
    """Read ``K:`` (3.1.14): the first one ends the header."""
    if not state.is_body:
        state.is_body = True
        state.key, state.staff = read_key(value, state.key, state.staff)
        return
    melody = here(state).melody
    melody.key, melody.staff = read_key(value, melody.key, melody.staff)
    _turn(melody)


def _turn(melody: AbcMelody) -> None:
    """Let a change of key or clef hold."""
    metre, _, _ = melody.bars.coming
    melody.bars.turn(metre=metre, fifths=melody.key.fifths, clef=melody.staff.clef)


def _tempo(state: AbcState, value: str, spot: Spot) -> None:
    """Read ``Q:`` (3.1.8); in the header it waits for ``L:``."""
    if not value.strip():
        return
    if not state.is_body:
        state.tempo = (value, spot)
        return
    voice = here(state)
    voice.tempi.append((voice.here, read_tempo(value, Beats(voice.melody.unit))))


def _parts(state: AbcState, value: str, spot: Spot) -> None:
    """Read ``P:`` (3.1.9): an order in the header, a letter in the body."""
    if not state.is_body:
        state.order = read_parts(value)
        return
    voice = here(state)
    voice.melody.bars.part(value.strip()[:1], spot)
    voice.boxes.append((voice.here, abc_words(value)))


def _voice(state: AbcState, value: str, spot: Spot) -> None:
    """Read ``V:`` (7.1): who plays from here on."""
    found = VOICE.fullmatch(value)
    if not found:
        raise WrongWords("“V:” names no voice", "Write V:1.")
    name, rest = found["name"], found["rest"]
    if not state.is_body:
        read_staff(rest, state.staff)
        state.declared[name] = f"{state.declared.get(name, '')} {rest}"
        return
    if name in state.voices:
        melody = state.voices[name].melody
        melody.staff = read_staff(rest, melody.staff)
        _turn(melody)
    else:
        said = f"{state.declared.get(name, '')} {rest}"
        state.voices[name] = new_voice(state, name, said, spot)
    state.voice = state.voices[name]


def _user(state: AbcState, value: str, _spot: Spot) -> None:
    """Read ``U:`` (4.16): what a letter stands for."""
    found = USER.fullmatch(value)
    if not found:
        raise WrongWords(
            f"“U:{value.strip()}” explains no letter", "Write U:T=!trill!."
        )
    state.letters[found[1]] = found[2] or found[3] or f'"{found[4]}'


def _macro(state: AbcState, value: str, _spot: Spot) -> None:
    """Read ``m:`` (9.1, 9.2): what some signs stand for."""
    found = MACRO.fullmatch(value)
    if not found or len(found[2]) > LONGEST_MACRO or len(state.macros) >= MOST_MACROS:
        raise WrongWords(f"“m:{value.strip()[:20]}” is no macro", "Write m:~G=G{A}G.")
    state.macros.append((found[1], found[2]))


def _instruction(state: AbcState, value: str, spot: Spot) -> None:
    """Read ``I:`` (3.1.17), which says the same as a directive."""
    follow(state, value.strip(), spot)


def follow(state: AbcState, text: str, spot: Spot) -> None:
    """Do what an instruction says, as far as it changes what is played."""
    word, _, rest = text.partition(" ")
    if word == "propagate-accidentals" and rest.strip() in SCOPES:
        state.scope = rest.strip()
        for voice in state.voices.values():
            voice.melody.scope = state.scope
    elif word in ("setbarnb", "measurefirst") and rest.strip().isdecimal():
        state.first_number = int(rest.strip()[:4])
    elif word == "abc-include":
        fault(state, spot, "Another file is asked for", "Copy its text in here.")
    elif word == "MIDI" and rest.split(" ")[0] in SOUNDING:
        state.book.left_out.setdefault(f"%%MIDI {rest.split(' ')[0]}", spot.line)


FIELDS: dict[str, Callable[[AbcState, str, Spot], None]] = {
    "M": _metre,
    "L": _unit,
    "K": _key,
    "Q": _tempo,
    "P": _parts,
    "V": _voice,
    "U": _user,
    "m": _macro,
    "I": _instruction,
}
