"""What a player types after a run: ``not clean, ran out 7.3, lips tired``."""

from __future__ import annotations

import re
from dataclasses import dataclass
from unicodedata import normalize

from coach.rehearsal.run.mark_kinds import KINDS, MarkKind
from coach.score.plain_text import one_line

IS_CLEAN = {
    "clean": True,
    "yes": True,
    "y": True,
    "not clean": False,
    "unclean": False,
    "no": False,
    "n": False,
}
"""Words that say how the run was."""

AS_HEARD = ("as heard", "as it was heard")
"""Words that take over what the microphone heard."""

TYPED = {
    words: kind for kind, row in KINDS.items() for words in (row.words, *row.also_typed)
}
"""Words that say what happened."""

MARK = re.compile(
    rf"({'|'.join(TYPED)}) (?:in )?(?:bar )?(\d{{1,4}})(?:(?:\.| beat )(\d{{1,2}}))?"
)
"""A mark and where; no page has a bar of five figures."""

BETWEEN = re.compile(r"[,;\n]|(?<=[.!?])\s+|\s*—\s*|\s+[-–]+\s+")
"""What stands between two things that are said; a sentence may end with a point.

A hyphen without spaces joins: ``not-clean``.
"""

NOT_SAID = re.compile(r"(?!(?<=\d)\.\d)[\W_]+")
"""Punctuation and spaces; the point of *bar 7.3* is neither."""


@dataclass(frozen=True, slots=True)
class SaidMark:
    """Something that went wrong, as a player says where."""

    kind: MarkKind
    """What happened."""

    bar: int
    """Bar on the page."""

    beat: int = 1
    """Beat in the bar, from 1."""


@dataclass(frozen=True, slots=True)
class Said:
    """What the player says of a run."""

    is_clean: bool | None
    """The verdict; None if there is none."""

    marks: tuple[SaidMark, ...]
    """What happened where, in the order in which it is said."""

    note: str
    """Everything else."""

    is_as_heard: bool = False
    """It was as the microphone heard it: the marks that are proposed stand."""


NOTHING_SAID = Said(None, (), "")
"""Silence."""


def say_noted(note: str, said: Said) -> str:
    """Say what is kept as a note; of marks in it, that nothing is marked.

    Parameters
    ----------
    note : str
        What was said besides verdict and marks, and what could not be marked.

    Examples
    --------
    >>> say_noted("lips tired", read_words("clean, lips tired"))
    'Kept as a note: “lips tired”.'
    """
    if not note:
        return ""
    kept = f"Kept as a note: “{one_line(note)}”."
    if note == said.note:
        return kept
    return f"{kept} Not marked: no such beat was played, or no breath was due there."


def read_words(text: str) -> Said:
    """Understand what a player types after a run.

    Parameters
    ----------
    text : str
        Pieces between commas, semicolons, dashes or sentences; each is a verdict, a
        mark or a note.  Punctuation and case do not matter.

    Returns
    -------
    Said
        Nothing that is typed is lost: what is neither verdict nor mark is the note.

    Examples
    --------
    >>> said = read_words("not clean, ran out bar 7 beat 3, lips tired")
    >>> said.is_clean, said.marks[0].bar, said.marks[0].beat, said.note
    (False, 7, 3, 'lips tired')
    """
    is_clean: bool | None = None
    is_as_heard = False
    marks: list[SaidMark] = []
    note: list[str] = []
    for piece in (piece.strip() for piece in BETWEEN.split(text)):
        said = NOT_SAID.sub(" ", normalize("NFKC", one_line(piece)).casefold()).strip()
        found = MARK.fullmatch(said)
        if said in IS_CLEAN:
            is_clean = IS_CLEAN[said]
        elif said in AS_HEARD:
            is_as_heard = True
        elif found:
            kind, bar, beat = found.groups()
            marks.append(SaidMark(TYPED[kind], int(bar), int(beat or 1)))
        elif piece:
            note.append(piece)
    if is_clean is None and not marks and not is_as_heard:
        return Said(None, (), text.strip())
    return Said(is_clean, tuple(marks), ", ".join(note), is_as_heard)
