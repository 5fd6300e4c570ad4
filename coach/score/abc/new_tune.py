"""A tune to begin with, and the twelve things that an etude needs, with an example."""

from __future__ import annotations

TWELVE_THINGS = (
    ("C is middle C, c is above it, C, is below it", "B,, C, C c"),
    (
        "lengths: E an eighth, 2 a quarter, 3 dotted, /2 a sixteenth",
        "C,2 D,3 E, F,/2 G,3/2",
    ),
    ("sharp ^, flat _, natural =, before the note", "^F, _E, =B,, F,"),
    ("rests: z as a note, Z4 four whole bars", "z2 C,2 z4 | Z4"),
    ("bar lines, and |] at the end", "C,8 | D,8 |]"),
    ("a pickup is a short first bar", "F,2 | B,,8 |"),
    ("ties join with -, slurs stand in brackets", "C,8- | C,4 (D,2 E,2)"),
    ("three in the time of two: (3 before them", "(3C,D,E, C,2 z4"),
    ("repeats, and a first and second ending", "|: C,8 |1 D,8 :|2 E,8 |]"),
    ("dynamics and signs, before the note", "!mf!C,4 .D,2 !fermata!E,2"),
    ("a breath, behind the note", "C,4 !breath! D,4"),
    ("another key or metre, from here on", "C,8 | [K:F] [M:3/4] B,,6 |"),
)
"""What to know, and how it is typed in 4/4 with L:1/8."""

OCTAVES = {
    "bass": "Low B flat, second line, is B,, and the next one B,",
    "tenor": "Low B flat is B,, and the next one B,",
    "alto": "Middle C is C, the one above it c, below it C,",
    "treble": "Middle C is C, the one above it c, then c'",
}
"""Which octave a letter is in, for each clef."""


def new_tune(title: str, clef: str, transposition_semitones: int) -> str:
    """Write the head of a tune, up to where its notes begin.

    Parameters
    ----------
    clef : str
        As in `coach.score.phrase.Bar`.
    transposition_semitones : int
        From written to sounding pitch.

    Returns
    -------
    str
        Text that reads as ABC once there are notes.
    """
    key = "Bb" if clef in ("bass", "tenor") and not transposition_semitones else "C"
    moved = f" transpose={transposition_semitones}" if transposition_semitones else ""
    octave = OCTAVES.get(clef, OCTAVES["treble"])
    return (
        "X:1\n"
        f"T:{title}\n"
        "M:4/4\n"
        "L:1/8\n"
        "Q:1/4=80\n"
        f"% {octave}\n"
        "% Set T:, M:, Q: and K: first; K:Eb, E flat major, makes its flats.\n"
        f"K:{key} clef={clef}{moved}\n"
    )
