"""Read dynamics, breaths, fermatas, fingerings and jumps of an ABC tune.

music21 reads the notes and leaves most decorations out.  The signs are those of the
abc standard, version 2.1 (Walshaw and others, December 2011), section 4.14.
"""

from __future__ import annotations

import re

from coach.edges.scores.in_child.signs_left_out import Additions, NoteAddition

TOKEN = re.compile(
    r"%[^\n]*"
    r"|^[A-Za-z]:[^\n]*"  # a field of its own
    r"|\[[A-Za-z]:[^\]\n]*\]"  # a field in the line
    r"|\"[^\"\n]*\""  # a chord symbol or a text
    r"|!(?P<sign>[^!\n]+)!"
    r"|(?P<grace>\{/?)|(?P<end>\})"
    r"|(?P<bar>:*\|+[\]:|]*|::|\[\|)"
    r"|(?P<chord>\[[^\]\n]*\])"
    r"|(?P<note>[=_^]*[A-Ga-g])"
    r"|(?P<rest>[xyzXZ])"
    r"|(?P<letter>[HLMOPSTuv~])",
    re.M,
)
LETTERS = {
    "H": "fermata",
    "L": "accent",
    "M": "lowermordent",
    "O": "coda",
    "P": "uppermordent",
    "S": "segno",
    "T": "trill",
}
DYNAMICS = {
    *("ppppp", "pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff", "sfz"),
}
SIGNS = {
    "accent": "accent",
    ">": "accent",
    "emphasis": "accent",
    "^": "strong-accent",
    "marcato": "strong-accent",
    "wedge": "staccatissimo",
    "tenuto": "tenuto",
    "staccato": "staccato",
    "trill": "trill-mark",
    "turn": "turn",
    "invertedturn": "inverted-turn",
    "mordent": "mordent",
    "lowermordent": "mordent",
    "uppermordent": "inverted-mordent",
    "pralltriller": "inverted-mordent",
}
BREATHS = {"breath": "breath", "caesura": "caesura"}
WORDS = {
    "segno": "segno",
    "coda": "coda",
    "fine": "fine",
    "D.C.": "da capo",
    "D.C.alfine": "da capo",
    "D.C.alcoda": "da capo",
    "dacapo": "da capo",
    "D.S.": "dal segno",
    "D.S.alfine": "dal segno",
    "D.S.alcoda": "dal segno",
    "dacoda": "to coda",
}
HAIRPINS = {"<(": 1, "crescendo(": 1, ">(": -1, "diminuendo(": -1}
HAIRPIN_ENDS = ("<)", "crescendo)", ">)", "diminuendo)")


def read_abc_signs(tune: str) -> Additions:
    """Read the decorations of a tune with one voice."""
    reading = _Reading()
    for token in TOKEN.finditer(tune):
        kind = token.lastgroup
        if kind in ("note", "chord"):
            reading.note()
        elif kind == "sign":
            reading.sign(token.group("sign").strip())
        elif kind == "letter" and token.group() in LETTERS:
            reading.sign(LETTERS[token.group()])
        elif kind in ("grace", "end"):
            reading.grace = None if kind == "end" else token.group() == "{/"
        elif kind == "rest":
            reading.rest()
        elif kind == "bar":
            reading.bar()
    return reading.found


class _Reading:
    """What was met on the way through a tune."""

    def __init__(self) -> None:
        self.found = Additions()
        self.next = NoteAddition()
        self.grace: bool | None = None
        self.bars = 0
        self.has_notes = False
        self.opened: tuple[int, int] | None = None

    def note(self) -> None:
        """Give a note or chord what stood before it."""
        self.next.takes_from_before = self.grace
        self.found.notes.append(self.next)
        self.next = NoteAddition()
        self.has_notes = True

    def rest(self) -> None:
        """Give a breath that stands at a rest to the note before."""
        if self.next.breath_mark and self.found.notes:
            self.found.notes[-1].breath_mark = self.next.breath_mark
        self.next = NoteAddition()
        self.has_notes = True

    def bar(self) -> None:
        """Count a bar line; two of them with nothing between are one."""
        self.bars += self.has_notes
        self.has_notes = False

    def sign(self, name: str) -> None:
        """Take in a decoration, which belongs to the note that follows."""
        here = len(self.found.notes)
        if name in DYNAMICS:
            self.found.dynamics.append((here, name))
        elif name in SIGNS:
            self.next.articulations.add(SIGNS[name])
        elif name in BREATHS:
            self.next.breath_mark = BREATHS[name]
        elif name == "fermata":
            self.next.has_fermata = True
        elif name in WORDS:
            self._word(WORDS[name])
        elif name.isdecimal():
            self.next.marked_position = name
        else:
            self._hairpin(name, here)

    def _word(self, word: str) -> None:
        """Take in a jump; after the last bar line it belongs to the bar before."""
        is_target = word in ("segno", "coda")
        is_late = not is_target and not self.has_notes and self.bars > 0
        self.found.words.append((self.bars - is_late, word))

    def _hairpin(self, name: str, here: int) -> None:
        """Open or close a hairpin."""
        if name in HAIRPINS:
            self.opened = (here, HAIRPINS[name])
        elif name in HAIRPIN_ENDS and self.opened is not None:
            first, direction = self.opened
            last = max(first, here - 1)
            self.found.hairpins.append((first, last, direction))
            self.opened = None
