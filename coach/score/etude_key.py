"""Tell one etude from another: by title, part, bars, metres and key, not by its file.

Two books each have an "Etude 5"; a file is moved and renamed; a wrong note is mended.
Runs and edits are kept under a key that the first tells apart and the others leave
as it is.

Conventions
-----------
Bars are counted as on the page, so that a forgotten repeat changes nothing.  Changing
what goes into the fingerprint loses every player's log: add another one instead.
"""

from __future__ import annotations

import hashlib
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from coach.score.phrase import Part

KEY_DIGITS = 12
"""Hexadecimal digits of a fingerprint: ten thousand etudes have none twice."""

OPENING_NOTES = 12
"""So many first notes stand for the title where the page has none."""


@dataclass(frozen=True, slots=True)
class EtudeKey:
    """What the runs and edits of one etude are kept under."""

    title: str
    """Title, for what was kept when there was nothing else."""

    fingerprint: str
    """Short name that only this etude has."""


def key_of(part: Part) -> EtudeKey:
    """Give the key of an etude.

    Returns
    -------
    EtudeKey
        The same wherever the file lies, and whatever single notes, signs, tempo and
        repeats it has.
    """
    page = {bar.number: bar for bar in part.bars}
    told = (
        plain_title(part.title) if part.is_titled else _opening(part),
        plain_title(part.name),
        len(page),
        min(page),
        _changes([page[number].metre.figures for number in sorted(page)]),
        _changes([str(page[number].fifths) for number in sorted(page)]),
    )
    digest = hashlib.sha256(repr(told).encode()).hexdigest()
    return EtudeKey(part.title, digest[:KEY_DIGITS])


def plain_title(words: str) -> str:
    """Leave out what two spellings of a title differ in."""
    return " ".join(unicodedata.normalize("NFKC", words).casefold().split())


def _opening(part: Part) -> str:
    """Name the first notes."""
    return " ".join(str(note.sounding) for note in part.notes[:OPENING_NOTES])


def _changes(signs: Sequence[str]) -> tuple[tuple[str, int], ...]:
    """Give each sign with the number of bars that it holds for."""
    return tuple((sign, len(tuple(bars))) for sign, bars in groupby(signs))
