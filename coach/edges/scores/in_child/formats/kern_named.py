"""Find what is not played as a kern score writes it, and refuse what is no kern.

The signs are those of the kern representation (Huron 1995, The Humdrum Toolkit:
Reference Manual).
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from coach.edges.scores.in_child.formats.kern_spines import Row, is_note, walk
from coach.edges.scores.in_child.sign_sentences import (
    ARPEGGIO,
    CHORD_SYMBOLS,
    GLISSANDO,
    HARMONIC,
    ORNAMENT,
    PERCUSSION,
    PERCUSSION_PART,
    RESTING,
    TREMOLO,
    TRILL,
)
from coach.edges.scores.score_limits import unreadable
from coach.score.plain_text import plain_words
from coach.score.played.repeats import route_word_in

SIGNS = (
    (re.compile(r"[tT]"), TRILL),
    (re.compile(r"[mMwWS$OR]"), ORNAMENT),
    (re.compile(r"[Hh]"), GLISSANDO),
    (re.compile(r":"), ARPEGGIO),
    (re.compile(r"o"), HARMONIC),
    (re.compile(r"@"), TREMOLO),
)
"""What a note's token may hold, and what is said of it."""

TREMOLO_SIGN = re.compile(r"@+\d*@*")
UNPITCHED = re.compile(r"R+")
LENGTH = re.compile(r"\d|[qQ]")
SECTIONS = re.compile(r"^\*>\[")
LAYOUT_WORDS = re.compile(r"!LO:TX\b.*?:t=([^:\t]*)")
IN_ORDER = "The order of sections is left out, the page is played from top to end"
CHORD_KINDS = ("**harm", "**mxhm", "**fb", "**Bnum", "**deg")
PERCUSSION_PARTS = ("*clefX", "*Idrum", "*Iperc")
JUMPS = {
    "dacapo": "da capo",
    "dalsegno": "dal segno",
    "tocoda": "to coda",
    "fine": "fine",
    "segno": "segno",
    "coda": "coda",
}
"""Interpretations that lead through the page, and the words of `RepeatSigns`."""


def mend_kern(text: str, name: str) -> str:
    """Take out the signs that music21 takes for others; refuse what is no note."""
    mended = text.splitlines()
    kinds: list[str] = []
    for row in walk(text):
        if row.is_first:
            kinds = row.tokens
        elif row.is_data:
            tokens = [
                _plain(token, name, row.line) if kinds[spine] == "**kern" else token
                for token, spine in zip(row.tokens, row.spines, strict=True)
            ]
            mended[row.line - 1] = "\t".join(tokens)
    return "\n".join(mended) + "\n"


def _plain(token: str, name: str, line: int) -> str:
    """Make a token that music21 reads as it is meant."""
    plain = TREMOLO_SIGN.sub("", token)
    if "R" in plain and not is_note(plain):
        plain = UNPITCHED.sub("r", plain)
    for part in plain.split():
        is_sound = is_note(part) or "r" in part
        if part != "." and not (is_sound and LENGTH.search(plain)):
            raise unreadable(
                name,
                f"has “{plain_words(part)}” in line {line}, which is no kern note",
                "A note is a length and a letter, as in 4c. Mend the line.",
            )
    return plain


def find_in_kern(text: str, spine: int) -> Iterator[tuple[int, str]]:
    """Give the bar of each thing that is not played as it is written."""
    for bar, row in _bars(text):
        if row.is_first and any(kind in CHORD_KINDS for kind in row.tokens):
            yield bar, CHORD_SYMBOLS
        yield from ((bar, what) for what in _in_token(row, row.token(spine)))


def find_words(text: str, spine: int) -> Iterator[tuple[int, str]]:
    """Give each word that leads through the page and its bar."""
    for bar, row in _bars(text):
        token = row.token(spine)
        said = LAYOUT_WORDS.match(token)
        if said:
            word = route_word_in(said.group(1))
        else:
            is_said = token.startswith("*")
            bare = re.sub(r"[^a-z]", "", token.lower())
            word = JUMPS.get(bare, "") if is_said else ""
        if word:
            yield bar, word


def _bars(text: str) -> Iterator[tuple[int, Row]]:
    """Give each row with its bar, counted from 0; what comes before a note has one."""
    bar = -1
    for row in walk(text):
        if row.is_bar_line:
            bar += 1
        elif row.is_data:
            bar = max(bar, 0)
        yield max(bar, 0), row


def _in_token(row: Row, token: str) -> Iterator[str]:
    """Say what of one token is not played as it is written."""
    if not row.is_data:
        if SECTIONS.match(token):
            yield IN_ORDER
        elif token in PERCUSSION_PARTS:
            yield PERCUSSION_PART
    elif is_note(token):
        yield from (what for sign, what in SIGNS if sign.search(token))
    elif "R" in token:
        yield PERCUSSION
    elif "r" in token and ";" in token:
        yield RESTING
