"""What a player types after a run: ``not clean, ran out 7.3, lips tired``."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from unicodedata import normalize

from coach.planning.naming import say_bars, say_place_short, say_time_through
from coach.rehearsal.run.mark_kinds import FAULTS, KINDS, MarkKind
from coach.score.plain_text import one_line

IS_CLEAN = {
    "clean": True,
    "yes": True,
    "y": True,
    "c": True,
    "not clean": False,
    "unclean": False,
    "no": False,
    "n": False,
    "t": False,
}
"""Words that say how the run was, and the keys that do so on screen."""

NOT_CLEAN = re.compile(
    r"(?:not|(?:was|is)n t) (?:(?:so|very|quite|really|all|that|entirely) )*clean"
    r"|(?:almost|nearly|not even) clean"
)
"""Other ways of saying that it was not clean, an apostrophe being a space here."""

AS_HEARD = ("as heard", "as it was heard")
"""Words that take over what the microphone heard."""

TYPED = {
    words: kind for kind, row in KINDS.items() for words in (row.words, *row.also_typed)
}
"""Words that say what happened."""

TIME = (
    r"(?: (?:the )?(?:time (?P<time>[1-9])(?: through)?"
    r"|(?P<nth>[2-9])(?:nd|rd|th) time|(?P<second>second) time))?"
)
"""Which time a bar is played."""

BEATS = (
    r"(?:on |at )?beats? (?P<beat>\d{1,2})(?:[.,]5)?"
    r"(?: (?:to |until )?(?P<last_beat>\d{1,2}))?"
)
"""A beat, or several; half beats count with their beat."""

PLACE = (
    r"(?:in |at |from )?(?:(?:bars?|measures?) )?(?P<bar>\d{1,4})"
    rf"(?:[.,](?P<point>\d{{1,2}})(?:[.,]5)?| {BEATS}"
    r"| (?:to |until )?(?:bar |measure )?(?P<last_bar>\d{1,4}))?"
) + TIME
"""A bar with its beats, or with the last of several bars, and which time it is played.

The hyphen between bars, or beats, is a space here.  No page has a bar of five figures.
"""

MARK = re.compile(rf"(?P<what>{'|'.join(TYPED)}) (?:again )?{PLACE}")
"""A mark and where."""

THERE_TOO = re.compile(rf"(?:again )?{PLACE}")
"""Another place of the mark just said: ``rushed 5, 7 and 9.3``."""

BEATS_TOO = re.compile(rf"(?:again )?{BEATS}{TIME}")
"""Other beats of the bar just said."""

BARE_BEAT = re.compile(r"\d{1,2}")
"""After a beat that was called one: ``missed bar 2, beats 3 and 4``."""

MOST_PLACES_SAID = 16
"""Bars or beats that one word may mark: of more it is no help to mark each."""

NAMED = re.compile(rf"\b(?:{'|'.join(TYPED)})\b")
"""A mark, perhaps without its place."""

FAULT = re.compile(
    r"(?:(?:a (?:bit|little)|slightly|still|always|felt|got|sounded) )?"
    rf"(?:{'|'.join(w for w, kind in TYPED.items() if kind in FAULTS)})\b"
    r"(?! (?:breath|the breath|a breath|for|tonight|today)\b)(?! of (?!air|breath))"
)
"""A fault, wherever it was: ``rushed``, ``ran out at the end``."""

BEFORE = re.compile(r"^(?:(?:and|but|so|then|because|i|it was|was) )+")
"""Small words in front of a verdict or a mark."""

BELOW_ZERO = re.compile(r"(?<!\S)[-−][0-9]")
"""A number that is no bar, its sign not the hyphen between two."""

BETWEEN = re.compile(
    r"(?<!\d),|,(?!\d|\s*(?:(?:on |at )?beats?|time \d)\b)|"
    r"[;\n]|(?<=[.!?])\s+|\s*—\s*|\s+[-–]+\s+|"
    rf"(?<=clean)\s+(?=(?:{'|'.join(TYPED)})\b)",
    re.IGNORECASE,
)
"""What stands between two things that are said; a sentence may end with a point, and a
verdict needs nothing behind it.

A hyphen without spaces joins: ``not-clean``; so does the comma of a place: ``7,3``,
``bar 7, beat 3`` and ``bar 7, time 2``.
"""

JOINED = re.compile(r"\s+(?:and|but|because|so(?! clean))\s+", re.IGNORECASE)
"""What may join two things that are said, or two words of a note."""

NOT_SAID = re.compile(r"(?!(?<=\d)[.,]\d)[\W_]+")
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

    time: int = 1
    """Which time through, where the bar is repeated."""

    def __str__(self) -> str:
        """Say it as it is typed."""
        has_beat = self.beat > 1
        where = say_place_short(self.bar, self.beat) if has_beat else f"bar {self.bar}"
        return f"{self.kind.words} {where}{say_time_through(self.time)}"


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


def say_noted(note: str, said: Said, played: tuple[int, int]) -> str:
    """Say what is kept as a note; of marks in it, that nothing is marked.

    Parameters
    ----------
    note : str
        What was said besides verdict and marks, and what could not be marked.
    played : tuple of int
        First and last bar that were asked for.

    Examples
    --------
    >>> say_noted("lips tired", read_words("clean, lips tired"), (1, 4))
    'Kept as a note: “lips tired”.'
    """
    if not note:
        return ""
    kept = f"Kept as a note: “{one_line(note)}”."
    if note == said.note:
        named = NAMED.search(as_said(note))
        if named is None:
            return kept
        how = f"{named[0]} 7.3"
        return f"{kept} Not marked: say where, as “{how}” for bar 7, beat 3."
    where = (
        f"no such beat of {say_bars(*played)} was played, or no breath was due there"
    )
    return f"{kept} Not marked: {where}."


def read_words(text: str) -> Said:
    """Understand what a player types after a run.

    Parameters
    ----------
    text : str
        Pieces between commas, semicolons, dashes, sentences or words as *and*; each is
        a verdict, a mark or a note.  Punctuation and case do not matter.

    Returns
    -------
    Said
        Nothing that is typed is lost: what is neither verdict nor mark is the note.
        A fault whose place is not said marks nothing, but it was not clean, unless a
        verdict says so.

    Examples
    --------
    >>> said = read_words("not clean, ran out bar 7 beat 3, lips tired")
    >>> said.is_clean, said.marks[0].bar, said.marks[0].beat, said.note
    (False, 7, 3, 'lips tired')
    """
    is_clean: bool | None = None
    is_as_heard = has_fault = False
    marks: list[SaidMark] = []
    note: list[str] = []
    latest: SaidMark | None = None
    counts_beats = False
    for piece in _pieces(text):
        said = BEFORE.sub("", as_said(piece))
        if latest and counts_beats and BARE_BEAT.fullmatch(said):
            said = f"beat {said}"
        counts_beats = "beat" in said
        found = [] if BELOW_ZERO.search(piece) else _marks_of(said, latest)
        latest = found[-1] if found else None
        marks += found
        if _is_verdict(said):
            is_clean = IS_CLEAN.get(said, False)
        elif said in AS_HEARD:
            is_as_heard = True
        elif piece and not found:
            note.append(piece)
            has_fault |= bool(FAULT.match(said))
    if is_clean is None and has_fault:
        is_clean = False
    if is_clean is None and not marks and not is_as_heard:
        return Said(None, (), text.strip())
    return Said(is_clean, tuple(marks), ", ".join(note), is_as_heard)


def _marks_of(said: str, latest: SaidMark | None) -> list[SaidMark]:
    """Read the marks of one piece, which may name but a place after one that did more.

    Of several bars each is marked at its first beat, as a bar without a beat is.
    """
    if found := MARK.fullmatch(said):
        place = found.groupdict()
        return _marks_at(TYPED[found["what"]], int(found["bar"]), place)
    if latest and (found := THERE_TOO.fullmatch(said)):
        return _marks_at(latest.kind, int(found["bar"]), found.groupdict())
    if latest and (found := BEATS_TOO.fullmatch(said)):
        return _marks_at(latest.kind, latest.bar, found.groupdict())
    return []


def _marks_at(
    kind: MarkKind, bar: int, place: Mapping[str, str | None]
) -> list[SaidMark]:
    """Mark each beat, or each bar, that a place names."""
    time = 2 if place["second"] else int(place["time"] or place["nth"] or 1)
    beat = int(place.get("point") or place["beat"] or 1)
    beats = range(beat, int(place["last_beat"] or beat) + 1)
    bars = range(bar, int(place.get("last_bar") or bar) + 1)
    if len(bars) * len(beats) > MOST_PLACES_SAID:
        return []
    return [SaidMark(kind, bar, max(1, beat), time) for bar in bars for beat in beats]


def _pieces(text: str) -> Iterator[str]:
    """Cut what is said into verdicts, marks and notes; a note is cut no further."""
    for piece in (piece.strip() for piece in BETWEEN.split(text)):
        joined = JOINED.split(piece)
        is_cut = any(map(_is_word, joined)) or all(map(_is_place, joined))
        yield from joined if is_cut else [piece]


def _is_word(piece: str) -> bool:
    """Tell whether a piece is a verdict or a mark."""
    said = BEFORE.sub("", as_said(piece))
    return _is_verdict(said) or said in AS_HEARD or bool(MARK.fullmatch(said))


def _is_verdict(said: str) -> bool:
    """Tell whether it says that the run was clean, or that it was not."""
    return said in IS_CLEAN or bool(NOT_CLEAN.fullmatch(said))


def _is_place(piece: str) -> bool:
    """Tell whether a piece is a place and no more."""
    said = as_said(piece)
    return bool(THERE_TOO.fullmatch(said) or BEATS_TOO.fullmatch(said))


def as_said(piece: str) -> str:
    """Leave out punctuation, case and what a terminal would obey."""
    return NOT_SAID.sub(" ", normalize("NFKC", one_line(piece)).casefold()).strip()
