"""What is said of signs that are not played as they are written, in any format."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from coach.score.abc import abc_signs
from coach.score.bar_numbers import name_bars
from coach.score.page import PageBar

GLISSANDO = abc_signs.GLISSANDO
TRILL = abc_signs.TRILL
TREMOLO = "A tremolo counts as one long note"
ORNAMENT = abc_signs.ORNAMENT
BEND = "A bend, scoop or fall counts as its plain note"
CHORD_SYMBOLS = "The chord symbols are left out"
RESTING = "A fermata on a rest or bar line is left out"
NOTEHEADS = "Notes with special noteheads are played as plain ones"
HARMONIC = "A harmonic counts as its plain note"
ARPEGGIO = "An arpeggio counts as its top note"
CUES = "The cue notes are left out"
PERCUSSION = "The percussion notes are left out"
PERCUSSION_PART = "The part is for percussion, its notes are taken as pitches"
REPEATED_BEATS = "Signs that repeat a beat or several bars are left out"
PEDAL = "The pedal marks are left out"
OCTAVE_LINE = "Notes under an octave line are shown where they sound"
QUARTER_TONE = "A quarter tone is moved to the semitone below"
CLEF_WITHIN = "A clef that changes within a bar is shown from the next one on"
OVERLAID = "Notes of one voice lie over each other, only one line of them is played"
SHARED = "Where this voice is not written, the first one is played"
HIDDEN = "Notes that are hidden on the page are played"


def sentences(
    found: Iterable[tuple[int, str]], bars: Sequence[PageBar]
) -> Iterator[str]:
    """Say each thing once, with its bars as they are numbered on the page."""
    last = len(bars) - 1
    places: dict[str, list[int]] = {}
    for bar, what in found:
        places.setdefault(what, []).append(bars[min(bar, last)].number)
    for what, numbers in places.items():
        yield f"{what}: {name_bars(numbers)}."
