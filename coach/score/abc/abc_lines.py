"""Cut ABC text into tunes and lines; take comments out; spell macros out.

Sections are those of the abc standard, version 2.1 (Walshaw and others, 2011).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import partial

from coach.score.abc.abc_faults import WrongWords
from coach.score.abc.abc_text import abc_words

START = re.compile(r"X:")
FIELD = re.compile(r"(?P<name>[A-Za-z+]):(?P<value>.*)")
COMMENT = re.compile(r"(?<!\\)%.*")
SHARED = re.compile(r"(?:[LMQUIm]:|%%(?!begin|end))")
BLOCK = re.compile(r"%%begin(\w+)")
LETTER = re.compile(r"[h-z]")
LONGEST_LINE = 20_000
"""Signs of a line with its macros spelled out; our own choice."""

NOTE = re.compile(r"[A-Ga-g][,']*")
NO_MUSIC = re.compile(r"\"[^\"\n]*\"|![^!\n]*!|\[[A-Za-z]:[^\]\n]*\]")


@dataclass(frozen=True, slots=True)
class AbcLine:
    """One line of a tune."""

    number: int
    """Line of the file, from 1."""

    text: str
    """What it says, without a comment."""

    columns: tuple[int, ...] = ()
    """Column of each sign, where a macro has been spelled out; else empty."""

    def column(self, k: int) -> int:
        """Tell in which column of the file, from 1, a sign of the text stands."""
        return self.columns[k] if self.columns else k + 1


@dataclass(frozen=True, slots=True)
class AbcTune:
    """One tune of a file."""

    title: str
    """Its first title; empty when it has none."""

    lines: tuple[AbcLine, ...]
    """What the file says before its first tune, and the tune."""

    lost: AbcLine | None = None
    """First line of music behind the empty line that ends the tune (section 2.2.1)."""

    @property
    def note_count(self) -> int:
        """Count its notes, roughly: macros and repeats as they are written."""
        return sum(
            len(NOTE.findall(NO_MUSIC.sub("", line.text)))
            for line in self.lines
            if not FIELD.match(line.text) and not line.text.startswith("%%")
        )


def split_tunes(text: str) -> list[AbcTune]:
    """Cut a file into its tunes; one without ``X:`` is a single tune."""
    lines = list(_clean(text.removeprefix("\ufeff")))
    starts = [k for k, line in enumerate(lines) if START.match(line.text)]
    if not starts:
        return [_tune([], lines)]
    head = [line for line in lines[: starts[0]] if SHARED.match(line.text)]
    ends = [*starts[1:], len(lines)]
    return [_tune(head, lines[a:b]) for a, b in zip(starts, ends, strict=True)]


def _clean(text: str) -> Iterator[AbcLine]:
    """Give the lines without comments and without blocks of text (section 11.4)."""
    inside = ""
    for number, line in enumerate(re.split(r"\r\n|\r|\n", text), 1):
        opened = BLOCK.match(line)
        if inside:
            inside = "" if line.startswith(f"%%end{inside}") else inside
        elif opened:
            inside = opened[1]
        elif line.startswith("%%"):
            yield AbcLine(number, line.rstrip())
        else:
            bare = COMMENT.sub("", line).rstrip()
            if bare or not line.lstrip().startswith("%"):
                yield AbcLine(number, bare)


def _tune(head: Sequence[AbcLine], lines: Sequence[AbcLine]) -> AbcTune:
    """Make a tune of its lines: it goes to the first empty one."""
    while lines and not lines[0].text:
        lines = lines[1:]
    end = next((k for k, line in enumerate(lines) if not line.text), len(lines))
    lost = next((line for line in lines[end:] if _is_music(line.text)), None)
    own = tuple(lines[:end])
    titles = [line.text[2:] for line in own if line.text.startswith("T:")]
    first = 1 if own and START.match(own[0].text) else 0
    title = abc_words(titles[0]) if titles else ""
    return AbcTune(title, (*own[:first], *head, *own[first:]), lost)


def _is_music(text: str) -> bool:
    """Tell a line of music, or a field of the body, from free text."""
    return bool(re.match(r"[KLMPQV]:|\[[A-Za-z]:", text)) or (
        "|" in text and not text.startswith("%%")
    )


def spell_macros(line: AbcLine, macros: Sequence[tuple[str, str]]) -> AbcLine:
    """Put what macros stand for in their places (sections 9.1 and 9.2).

    Parameters
    ----------
    macros : sequence of (str, str)
        What is written, and what it stands for; with an ``n`` in the first for any
        note, letters ``h`` to ``z`` of the second are notes counted from it.

    Returns
    -------
    AbcLine
        The line, each sign with the column that it comes from.

    Raises
    ------
    WrongWords
        If the line grows too long.
    """
    for target, meaning in macros:
        before, note, behind = target.partition("n")
        middle = r"([A-Ga-g][,']*)" if note else ""
        pattern = re.compile(re.escape(before) + middle + re.escape(behind))
        line = _replace(line, pattern, meaning)
        if len(line.text) > LONGEST_LINE:
            raise WrongWords(
                "A line is too long with its macros spelled out", "Divide it."
            )
    return line


def _replace(line: AbcLine, pattern: re.Pattern[str], meaning: str) -> AbcLine:
    """Replace one macro in a line."""
    text, columns, done = "", [], 0
    for found in pattern.finditer(line.text):
        written = meaning
        if pattern.groups:
            written = LETTER.sub(partial(_step, found[1]), meaning)
        text += line.text[done : found.start()] + written
        columns += [line.column(k) for k in range(done, found.start())]
        columns += [line.column(found.start())] * len(written)
        done = found.end()
    if not done:
        return line
    columns += [line.column(k) for k in range(done, len(line.text))]
    return AbcLine(line.number, text + line.text[done:], tuple(columns))


def _step(note: str, found: re.Match[str]) -> str:
    """Spell the note that lies as far from a note as a letter from ``n``."""
    octave = note.count("'") - note.count(",") + (1 if note[0].islower() else 0)
    place = "CDEFGAB".index(note[0].upper()) + ord(found[0]) - ord("n")
    octave, place = octave + place // 7, place % 7
    name = "CDEFGAB"[place]
    return name.lower() + "'" * (octave - 1) if octave > 0 else name + "," * -octave
