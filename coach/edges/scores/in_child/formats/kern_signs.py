"""Read slurs, glissandi, breaths, grace notes and dynamics of Humdrum kern.

music21 reads the notes of a spine and leaves these out.  The signs are those of the
kern and dynam representations (Huron 1995, The Humdrum Toolkit: Reference Manual).
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from coach.edges.scores.in_child.formats.kern_named import find_in_kern, find_words
from coach.edges.scores.in_child.formats.kern_spines import is_note, walk
from coach.edges.scores.in_child.found_signs import FoundSigns, NoteSigns

DYNAMIC = re.compile(r"(?<![a-z])(p{1,5}|f{1,5}|mp|mf|sfz?|fz|rfz?|fp)(?![a-z])")


def read_kern_signs(text: str, spine: int) -> FoundSigns:
    """Read what stands in one spine, counted from 0, and in the dynamics beside it."""
    found = FoundSigns()
    slurs = _Slurs(found)
    beside = _Dynamics(found)
    for tokens in _rows(text, spine):
        note, dynamic = tokens
        if is_note(note):
            _read_note(note, found)
            slurs.read(note)
        elif "," in note and found.notes:
            found.notes[-1].breath_mark = "breath"
        beside.read(dynamic, is_note=is_note(note))
    beside.close()
    found.left_out += find_in_kern(text, spine)
    found.words += find_words(text, spine)
    return found


def _read_note(token: str, found: FoundSigns) -> None:
    note = NoteSigns()
    if "," in token:
        note.breath_mark = "breath"
    if "q" in token:
        note.takes_from_before = True
    elif "Q" in token or "p" in token.lower():
        note.takes_from_before = False
    if "H" in token:
        note.articulations.add("glissando")
    found.notes.append(note)


class _Slurs:
    """Slurs that are open; ``&`` marks a second one over the first."""

    def __init__(self, found: FoundSigns) -> None:
        self.found = found
        self.open = 0

    def read(self, token: str) -> None:
        """Open and close slurs at a note."""
        self.found.notes[-1].is_slurred = self.open > 0
        self.open = max(0, self.open + token.count("(") - token.count(")"))


class _Dynamics:
    """Dynamics beside a spine: what comes before a note belongs to that note."""

    def __init__(self, found: FoundSigns) -> None:
        self.found = found
        self.waiting = ""
        self.opened: tuple[int, int] | None = None

    def read(self, token: str, *, is_note: bool) -> None:
        """Read the dynamics of one row."""
        if token != ".":
            self.waiting += f" {token}"
        if is_note and self.waiting:
            self._apply(len(self.found.notes) - 1)
            self.waiting = ""

    def close(self) -> None:
        """End a hairpin that the file leaves open."""
        self._end(len(self.found.notes) - 1)

    def _apply(self, note: int) -> None:
        """Put what was met at a note."""
        for sign in re.findall(r"[<>\[\]()]|[a-z]+", self.waiting):
            if sign in "<>":
                self._end(note)
                self.opened = (note, 1 if sign == "<" else -1)
            elif sign in "[]":
                self._end(note)
            elif DYNAMIC.fullmatch(sign):
                self._end(note)
                self.found.dynamics.append((note, sign))

    def _end(self, note: int) -> None:
        """End the open hairpin before a note."""
        if self.opened is not None and note > self.opened[0]:
            first, direction = self.opened
            self.found.hairpins.append((first, note - 1, direction))
        self.opened = None


def _rows(text: str, spine: int) -> Iterator[tuple[str, str]]:
    """Give each data row's token of a spine and of the dynamics to its right."""
    kinds: list[str] = []
    for row in walk(text):
        if row.is_first:
            kinds = row.tokens
        elif row.is_data:
            yield row.token(spine), row.token(_beside(kinds, spine))


def _beside(kinds: list[str], spine: int) -> int:
    """Find the spine of dynamics that belongs to a kern spine; -1 if none does."""
    for k in range(spine + 1, len(kinds)):
        if kinds[k] == "**kern":
            break
        if kinds[k].startswith("**dyn"):
            return k
    return -1
