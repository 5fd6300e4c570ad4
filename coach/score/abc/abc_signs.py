"""What the decorations of a tune mean (sections 4.14 and 4.16 of abc 2.1)."""

from __future__ import annotations

LETTERS = {
    ".": "staccato",
    "~": "roll",
    "H": "fermata",
    "L": "accent",
    "M": "lowermordent",
    "O": "coda",
    "P": "uppermordent",
    "S": "segno",
    "T": "trill",
    "u": "upbow",
    "v": "downbow",
}
"""Letters that stand for a decoration as long as a tune does not say otherwise."""

DYNAMICS = {
    *("ppppp", "pppp", "ppp", "pp", "p", "mp", "mf", "f", "ff", "fff", "ffff", "fffff"),
    *("sfz", "fp", "sf"),
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
    "turnx": "turn",
    "invertedturn": "inverted-turn",
    "invertedturnx": "inverted-turn",
    "mordent": "mordent",
    "lowermordent": "mordent",
    "uppermordent": "inverted-mordent",
    "pralltriller": "inverted-mordent",
    "~(": "glissando",
    "glissando(": "glissando",
}
TRILL = "A trill counts as one long note"
ORNAMENT = "An ornament counts as its main note"
GLISSANDO = "To guide and ear a glissando is its two ends"
COUNTED_AS = {
    "glissando": GLISSANDO,
    "trill-mark": TRILL,
    **dict.fromkeys(("turn", "inverted-turn", "mordent", "inverted-mordent"), ORNAMENT),
}
"""Signs that are not played as they are written, and what is said of them."""

FERMATAS = ("fermata", "invertedfermata")
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
UNUSED = {
    *("roll", "arpeggio", "+", "plus", "snap", "slide", "upbow", "downbow", "open"),
    *("thumb", "shortphrase", "mediumphrase", "longphrase", "trill(", "trill)"),
}
"""Decorations of the standard that a coach of the air has no use for."""

NOTHING = ("nil", "none", "~)", "glissando)")
"""What takes a letter's meaning away (4.16), and where a glissando ends: at the note
after that which it begins with.  Glissandi are of the draft of abc 2.2."""
