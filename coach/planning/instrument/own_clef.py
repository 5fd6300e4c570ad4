"""The clef of a page that has none, as a MIDI file has: it suits the instrument."""

from __future__ import annotations

from dataclasses import replace
from statistics import fmean

from coach.score.note import Pitch
from coach.score.phrase import Part

BOTTOM_LINES = {
    "bass": Pitch(2, "G"),
    "tenor": Pitch(3, "D"),
    "alto": Pitch(3, "F"),
    "treble": Pitch(4, "E"),
}
"""Pitch on the lowest line of the staff in each clef."""

READABLE_STEPS = (-4, 12)
"""Steps over the lowest line between which notes may lie on average: up to two ledger
lines from the staff; our own choice."""


def say_guessed_clef(clef: str) -> str:
    """Say which clef is taken, in words that tell a guessed one from a page's own."""
    return f"The file has no clef: the {clef} clef is a guess."


def has_guessed_clef(part: Part) -> bool:
    """Tell whether the clef of a part does not stand on its page."""
    return say_guessed_clef(part.bars[0].clef) in part.remarks


def suit_clef(part: Part, clef: str) -> Part:
    """Write a part whose clef was guessed in its instrument's, where that is readable.

    Parameters
    ----------
    clef : str
        The one that the instrument is usually read in.

    Returns
    -------
    Part
        A part with a clef of its own stays as it is.
    """
    if not has_guessed_clef(part):
        return part
    lowest = BOTTOM_LINES[clef].staff_step
    mean = fmean(note.written.staff_step - lowest for note in part.notes)
    if not READABLE_STEPS[0] <= mean <= READABLE_STEPS[1]:
        return part
    guess, said = say_guessed_clef(part.bars[0].clef), say_guessed_clef(clef)
    return replace(
        part,
        bars=tuple(replace(bar, clef=clef) for bar in part.bars),
        remarks=tuple(said if text == guess else text for text in part.remarks),
    )
