"""Read metre, unit length, tempo and the order of parts from the fields of a tune.

Sections are those of the abc standard, version 2.1 (Walshaw and others, 2011).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from coach.score.abc.abc_faults import WrongWords
from coach.score.abc.abc_text import abc_words
from coach.score.metre import Metre
from coach.score.tempo import Beats, beats

FREE = ("", "none")
COMMON = {"C": Metre(4, 4), "C|": Metre(2, 2)}
METRE = re.compile(r"\(?(\d{1,2}(?:\s*\+\s*\d{1,2})*)\)?\s*/\s*(\d{1,2})")
UNITS = (1, 2, 4, 8, 16, 32, 64)
LENGTH = re.compile(r"1(?:/(\d{1,3}))?")
LENGTHS = (1, 2, 4, 8, 16, 32, 64, 128, 256, 512)
SHORT_METRE = Beats(Fraction(3))
"""Metres shorter than three quarter notes have sixteenths as their unit (3.1.7)."""

TEMPO_WORDS = re.compile(r"\"([^\"]*)\"")
TEMPO = re.compile(r"(?P<beats>\d+/\d+(?:\s+\d+/\d+)*)\s*=\s*(?P<number>\d+(?:\.\d+)?)")
OLD_TEMPO = re.compile(r"(?:C(?P<units>\d{0,2})\s*=\s*)?(?P<number>\d{1,4})")
MOST_PARTS = 1000
"""Parts played one after another; our own choice, far above any tune."""


@dataclass(frozen=True, slots=True)
class AbcTempo:
    """A tempo field."""

    quarters_per_minute: float | None
    """Its speed; None in words alone."""

    beat: Beats | None
    """The note value that is counted; None in words alone."""

    words: str
    """What it says."""


def read_metre(text: str) -> Metre | None:
    """Read ``M:``; None is free metre (3.1.6).

    Examples
    --------
    >>> str(read_metre("C|")), read_metre("(2+3)/8").groups, read_metre("none")
    ('2/2', (2, 3), None)
    """
    text = text.strip()
    if text in FREE:
        return None
    if text in COMMON:
        return COMMON[text]
    found = METRE.fullmatch(text)
    counts = [int(count) for count in re.findall(r"\d+", found[1])] if found else []
    if not found or int(found[2]) not in UNITS or not all(counts):
        raise WrongWords(
            f"“M:{text}” is no time signature", "Write one as M:4/4, M:6/8 or M:C."
        )
    groups = tuple(counts) if len(counts) > 1 else ()
    return Metre(sum(counts), int(found[2]), groups)


def read_unit(text: str) -> Beats:
    """Read ``L:``, the length of a note without a number (3.1.7)."""
    found = LENGTH.fullmatch(text.replace(" ", ""))
    part = int(found[1] or 1) if found else 0
    if part not in LENGTHS:
        raise WrongWords(
            f"“L:{text.strip()}” is no note length", "Write one as L:1/8 or L:1/4."
        )
    return Beats(Fraction(4, part))


def usual_unit(metre: Metre | None) -> Beats:
    """Give the unit length of a tune that has no ``L:`` (3.1.7)."""
    if metre is not None and metre.length < SHORT_METRE:
        return beats("1/4")
    return beats("1/2")


def read_tempo(text: str, unit: Beats) -> AbcTempo:
    """Read ``Q:``: a number, words, or both (3.1.8, 10.1).

    Examples
    --------
    >>> read_tempo('"Allegro" 3/8=120', unit=beats("1/2")).quarters_per_minute
    180.0
    """
    words = abc_words(" ".join(TEMPO_WORDS.findall(text)))
    bare = TEMPO_WORDS.sub("", text).strip()
    if not bare:
        return AbcTempo(None, None, words)
    found = TEMPO.fullmatch(bare)
    if found:
        pairs = re.findall(r"(\d+)/(\d+)", found["beats"])
        if all(int(a) and int(b) for a, b in pairs):
            beat = 4 * sum((Fraction(int(a), int(b)) for a, b in pairs), Fraction(0))
            return AbcTempo(float(found["number"]) * float(beat), Beats(beat), words)
    old = OLD_TEMPO.fullmatch(bare)
    if old:
        beat = unit * int(old["units"] or 1)
        return AbcTempo(float(old["number"]) * float(beat), Beats(beat), words)
    raise WrongWords(f"“Q:{text.strip()}” is no tempo", "Write one as Q:1/4=96.")


def read_parts(text: str) -> str:
    """Spell out ``P:`` of a header: the letters of the parts as played (3.1.9).

    Examples
    --------
    >>> read_parts("A.(AB)2 C3")
    'AABABCCC'
    """
    bare = re.sub(r"[.\s]", "", text)
    wrong = WrongWords(
        f"“P:{text.strip()}” is no order of parts", "Write one as P:ABA or P:A(BC)2."
    )
    if not re.fullmatch(r"[A-Z0-9()]*", bare) or re.search(r"(?:^|\()\d|\(\)", bare):
        raise wrong
    while "(" in bare or re.search(r"\d", bare):
        spelled = re.sub(
            r"(?:([A-Z])|\(([A-Z]+)\))(\d{1,3})",
            lambda m: (m[1] or m[2]) * int(m[3]),
            bare,
            count=1,
        )
        if spelled == bare:
            spelled = re.sub(r"\(([A-Z]+)\)(?!\d)", r"\1", bare, count=1)
        if spelled == bare or len(spelled) > MOST_PARTS:
            raise wrong
        bare = spelled
    if ")" in bare:
        raise wrong
    return bare
