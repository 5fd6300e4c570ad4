"""What stands at one note of music21: breath marks, articulations, positions.

In the child process only.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from music21 import articulations, note

from coach.score.plain_text import plain_words

ORNAMENTS = {
    "Trill": "trill-mark",
    "HalfStepTrill": "trill-mark",
    "WholeStepTrill": "trill-mark",
    "Turn": "turn",
    "InvertedTurn": "inverted-turn",
    "Mordent": "mordent",
    "HalfStepMordent": "mordent",
    "WholeStepMordent": "mordent",
    "InvertedMordent": "inverted-mordent",
    "HalfStepInvertedMordent": "inverted-mordent",
    "WholeStepInvertedMordent": "inverted-mordent",
    "Tremolo": "tremolo",
}
"""music21's ornaments and their MusicXML names."""


def breath_mark(element: note.GeneralNote) -> str:
    """Read a breath mark or a caesura."""
    for sign in element.articulations:
        if isinstance(sign, articulations.BreathMark):
            return "breath"
        if isinstance(sign, articulations.Caesura):
            return "caesura"
    return ""


def note_signs(element: note.GeneralNote) -> Iterator[str]:
    """Give articulations and ornaments by their MusicXML names."""
    apart = (articulations.BreathMark, articulations.Caesura, articulations.Fingering)
    for sign in element.articulations:
        if not isinstance(sign, apart):
            yield re.sub(r"(?<=[a-z])(?=[A-Z])", "-", type(sign).__name__).lower()
    for ornament in element.expressions:
        name = ORNAMENTS.get(type(ornament).__name__)
        if name is not None:
            yield name


def place_on_page(element: note.GeneralNote) -> str:
    """Read the fingering or slide position written at a note."""
    return " ".join(
        plain_words(str(sign.fingerNumber))
        for sign in element.articulations
        if isinstance(sign, articulations.Fingering) and sign.fingerNumber is not None
    )
