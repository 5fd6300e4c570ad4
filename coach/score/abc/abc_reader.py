"""Read a tune in ABC: its fields one after another, and its voices sign by sign.

Sections are those of the abc standard, version 2.1 (Walshaw and others, 2011).
Whatever cannot be read is noted down with its line, column and bar, and the reader
goes on behind it; what is read and looks like a slip becomes a doubt.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import chain

from coach.score.abc.abc_directions import follow, read_field
from coach.score.abc.abc_faults import AbcFault, Spot, WrongWords, line_and_column
from coach.score.abc.abc_lines import FIELD, AbcLine, AbcTune, spell_macros
from coach.score.abc.abc_page import make_page, odd_bars
from coach.score.abc.abc_signs import DYNAMICS, SIGNS
from coach.score.abc.abc_state import AbcState, Flat, fault, here
from coach.score.abc.abc_tokens import Token, tokens
from coach.score.page import Page

MOST_FAULTS = 20
"""Faults that are noted down; our own choice: one at a time is mended."""

ALTERED = {"#": "^", "♯": "^", "♭": "_", "b": "_", "♮": "="}
"""Signs that people write behind a note, and what ABC writes before it."""


@dataclass(frozen=True, slots=True)
class AbcReading:
    """What a tune holds."""

    pages: tuple[Page, ...]
    """One for each voice with bars, in the order of the tune."""

    faults: tuple[AbcFault, ...]
    """What cannot be read, in order of place; with one, the pages are not whole."""

    doubts: tuple[AbcFault, ...]
    """What is read and looks like a slip."""


def read_abc(tune: AbcTune) -> AbcReading:
    """Read a tune, all its voices.

    Parameters
    ----------
    tune : AbcTune
        One tune of a file, from `split_tunes`.
    """
    state = AbcState(tune, has_lines=any(map(_has_line, tune.lines)))
    for line in tune.lines:
        if len(state.book.faults) >= MOST_FAULTS:
            break
        state.end = Spot(line.number, len(line.text) + 1)
        _read_line(state, line)
    _finish(state)
    voices = [v for v in state.voices.values() if v.melody.bars.done]
    doubts = [*state.book.doubts, *chain.from_iterable(map(odd_bars, voices))]
    pages = tuple(
        make_page(
            state.tune.title,
            voice,
            [other for other in voices if other is not voice],
            state.order,
            state.book,
        )
        for voice in voices
    )
    return AbcReading(
        pages,
        tuple(sorted(state.book.faults, key=line_and_column)),
        tuple(sorted(doubts, key=line_and_column)),
    )


def _read_line(state: AbcState, line: AbcLine) -> None:
    """Read a line: a directive, a field, or music."""
    text = line.text
    found = FIELD.match(text)
    if text.startswith("%%"):
        follow(state, text[2:].strip(), Spot(line.number, 1))
    elif re.match(r"[A-Ga-g]:\|", text) and state.is_body:
        fault(
            state,
            Spot(line.number, 1),
            f"A line that begins with “{text[:2]}” is a field of words, not music",
            f"Begin it with a space: “ {text[:3]}”.",
        )
    elif found:
        read_field(state, found["name"], found["value"], Spot(line.number, 1))
    elif state.is_body:
        _music(state, line)
    else:
        fault(
            state,
            Spot(line.number, 1),
            "Music begins before the key is told",
            "Write a line such as K:C or K:Bb clef=bass before it.",
        )
        state.is_body = True


def _has_line(line: AbcLine) -> bool:
    """Tell whether a bar line stands in a line of music."""
    is_music = not FIELD.match(line.text) and not line.text.startswith("%%")
    return is_music and ("|" in line.text or "::" in line.text)


def _music(state: AbcState, line: AbcLine) -> None:
    try:
        line = spell_macros(line, state.macros)
    except WrongWords as wrong:
        fault(state, Spot(line.number, 1), wrong.what, wrong.hint)
        return
    before: Token | None = None
    for token in tokens(line.text):
        spot = Spot(line.number, line.column(token.start))
        if token.is_apart and state.voice is not None:
            state.voice.space()
        _notice_flat(state, before, token, spot)
        _read_token(state, before, token, spot)
        before = token
        if len(state.book.faults) >= MOST_FAULTS:
            return


def _read_token(
    state: AbcState, before: Token | None, token: Token, spot: Spot
) -> None:
    """Read one sign."""
    kind, found = token.kind, token.found
    if kind == "field":
        name, value = found["field"][0], found["field"][2:]
        read_field(state, name, value, spot)
    elif kind == "short":
        _letter(state, token, spot)
    elif kind == "sign":
        here(state).sign(found["sign"], spot)
    elif kind == "old_sign" and _is_known(found["old_sign"]):
        here(state).sign(found["old_sign"], spot)
    elif kind in ("old_sign", "wrong"):
        _wrong(state, before, token, spot)
    elif kind == "ending" and not _may_end(before, token):
        fault(
            state,
            spot,
            f"The number {token.text} stands behind no note",
            "Write a length right behind its note, as C2.",
        )
    else:
        here(state).read(token, spot)


def _letter(state: AbcState, token: Token, spot: Spot) -> None:
    """Read a letter that stands for a decoration or a text (4.14, 4.16)."""
    meaning = state.letters.get(token.text, "")
    if meaning.startswith('"'):
        here(state).text(meaning[1:], spot)
    elif meaning:
        here(state).sign(meaning, spot)
    elif token.text == "h":
        fault(state, spot, "“h” is no note", "B natural is B, or =B; B flat is _B.")
    else:
        here(state).melody.bars.doubt(
            spot,
            f"“{token.text}” is no note and no sign, and is left out",
            f"Notes are A to G; explain it with U:{token.text}=!trill!.",
        )


def _is_known(name: str) -> bool:
    """Tell a decoration between plus signs from an old chord (10.2.2, 10.2.3)."""
    return name in SIGNS or name in DYNAMICS or name == "fermata"


def _may_end(before: Token | None, token: Token) -> bool:
    """Tell whether a number begins an ending: behind a bar line or with a bracket."""
    return token.text.startswith("[") or (before is not None and before.kind == "bar")


def _wrong(state: AbcState, before: Token | None, token: Token, spot: Spot) -> None:
    """Say what is wrong with a sign that ABC does not know."""
    text = token.text
    if text in "*!" and text:
        # Line breaks of older dialects (10.2.1).
        return
    is_behind = before is not None and before.kind == "letter"
    if is_behind and before is not None and text in ALTERED:
        note = before.text
        what = f"“{note}{text}” has its accidental behind the note"
        fault(state, spot, what, f"Write it before: {ALTERED[text]}{note}.")
    elif before is not None and before.text == "H":
        fault(state, spot, "“H” is a fermata, and no note", "B natural is =B.")
    elif text.startswith("+"):
        fault(state, spot, f"“{text}” is neither a sign nor a chord", "Write [CEG].")
    elif text in '[]{}"()':
        fault(state, spot, f"“{text}” has no partner in this line", "Close or open it.")
    else:
        sign = f"“{text}”" if text.isprintable() else f"The sign U+{ord(text):04X}"
        fault(state, spot, f"{sign} means nothing in ABC", "Take it out.")


def _notice_flat(
    state: AbcState, before: Token | None, token: Token, spot: Spot
) -> None:
    """Look for ``Bb``, which may be a B flat or two notes."""
    if token.kind != "letter" or token.found["letter"] != "b":
        return
    is_close = (
        before is not None
        and before.kind == "letter"
        and before.text[-1].isupper()
        and before.start + len(before.text) == token.start
        and not token.found["accidental"]
    )
    if is_close and before is not None:
        at = Spot(spot.line, spot.column - 1)
        bar = here(state).melody.bars.number
        state.flats.append(Flat(at, bar, before.text))
    else:
        state.has_other_b = True


def _finish(state: AbcState) -> None:
    """Close the tune, and say what it lacks."""
    if not state.has_lines and state.voice is not None:
        what = "There is no bar line, so bars are as long as their metre"
        state.voice.melody.bars.doubt(state.end, what, "Write | behind each bar.")
    for voice in state.voices.values():
        voice.finish(state.end)
    for flat in state.flats:
        found = AbcFault(
            flat.spot,
            flat.bar,
            f"“{flat.text}b” may be meant as {flat.text} flat, and is {flat.text} and "
            "the b above it",
            f"Write _{flat.text} for {flat.text} flat, or {flat.text} b with a space "
            "for two notes.",
        )
        # Where no other b stands in the tune, a flat is meant.
        notes = state.book.doubts if state.has_other_b else state.book.faults
        notes.append(found)
    lost = state.tune.lost
    if lost is not None:
        fault(
            state,
            Spot(lost.number, 1),
            "An empty line ends the tune, and music comes behind it",
            "Take the empty line out; another tune begins with a line X:2.",
        )
    for letter in dict.fromkeys(state.order):
        parts = [p for v in state.voices.values() for p, _ in v.melody.bars.parts]
        if letter not in parts:
            what = f"Part {letter} is to be played and is not there"
            fault(state, state.end, what, f"Write P:{letter} above its first line.")
            break
