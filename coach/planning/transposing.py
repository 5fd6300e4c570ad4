"""Move a part to another octave or key, spelled as a player expects it.

The key signature moves with the notes: of two signatures that sound alike the one
with fewer signs is taken, and every note is moved by the interval between the keys.
"""

from __future__ import annotations

import re
from dataclasses import replace

from coach.score.note import SEMITONES_IN_OCTAVE, Note, Pitch
from coach.score.phrase import Part

FIFTH_SEMITONES = 7
FIFTH_STEPS = 4
OCTAVE_STEPS = 7
FIFTHS_ROUND = 12
"""So many fifths later a key sounds the same again, in equal temperament."""

MOST_SEMITONES = 36
"""Three octaves: no etude is moved further; our own choice."""

MOST_ALTER = 2
"""Double sharps and flats are the furthest that a page writes."""

KEY_NAME = re.compile(r"([A-G])((?: flat| sharp)*)( .*)?")


SHIFT = re.compile(r" \((?:an octave|\d octaves|\d+ semitones?) (?:higher|lower)\)$")
"""What `transpose` puts behind a title."""


def transpose(part: Part, semitones: int) -> Part:
    """Move a part.

    Parameters
    ----------
    semitones : int
        Up if positive; 12 are an octave.

    Returns
    -------
    Part
        The part, its title telling how far it was moved: runs and edits of a moved
        etude are kept apart from those of the page.  Positions and fingerings of the
        page are left out, as they hold no longer.
    """
    if semitones == 0:
        return part
    fifths = _fifths(part, semitones)
    octaves = (semitones - FIFTH_SEMITONES * fifths) // SEMITONES_IN_OCTAVE
    steps = FIFTH_STEPS * fifths + OCTAVE_STEPS * octaves
    notes = tuple(_moved(note, steps, semitones) for note in part.notes)
    pitches = sorted((note.written for note in notes), key=lambda pitch: pitch.midi)
    return replace(
        part,
        title=f"{part.title} ({say_shift(semitones)})",
        notes=notes,
        bars=tuple(
            replace(bar, fifths=_within(bar.fifths + fifths)) for bar in part.bars
        ),
        key_name=_key_name(part.key_name, steps, semitones),
        remarks=(
            *part.remarks,
            f"Moved {say_shift(semitones)} than it is written: it goes from "
            f"{pitches[0]} to {pitches[-1]}.",
        ),
        moved_semitones=semitones,
    )


def say_shift(semitones: int) -> str:
    """Say how far something is moved.

    Examples
    --------
    >>> say_shift(-12), say_shift(1), say_shift(24), say_shift(-14)
    ('an octave lower', '1 semitone higher', '2 octaves higher', '14 semitones lower')
    """
    way = "higher" if semitones > 0 else "lower"
    octaves, rest = divmod(abs(semitones), SEMITONES_IN_OCTAVE)
    if rest:
        count = abs(semitones)
        return f"{count} semitone{'' if count == 1 else 's'} {way}"
    return f"{'an octave' if octaves == 1 else f'{octaves} octaves'} {way}"


def title_on_page(title: str) -> str:
    """Give the title that the page of a moved etude has.

    Examples
    --------
    >>> title_on_page("Tide (2 semitones lower)"), title_on_page("Tide (slow)")
    ('Tide', 'Tide (slow)')
    """
    return SHIFT.sub("", title)


def _fifths(part: Part, semitones: int) -> int:
    """Give the fifths between the keys: those that leave the fewest signs."""
    up = FIFTH_SEMITONES * semitones % FIFTHS_ROUND
    keys = {bar.fifths for bar in part.bars}
    return min(
        (up, up - FIFTHS_ROUND),
        key=lambda fifths: max(abs(key + fifths) for key in keys),
    )


def _within(fifths: int) -> int:
    """Write a key of more than seven signs as the one that sounds like it.

    >>> _within(-8), _within(7)
    (4, 7)
    """
    most = 7
    if abs(fifths) > most:
        return fifths - FIFTHS_ROUND if fifths > 0 else fifths + FIFTHS_ROUND
    return fifths


def _moved(note: Note, steps: int, semitones: int) -> Note:
    return replace(
        note,
        written=_readable(note.written.moved(steps, semitones)),
        sounding=_readable(note.sounding.moved(steps, semitones)),
        marked_position="",
    )


def _readable(pitch: Pitch) -> Pitch:
    """Spell a pitch that would need more than a double sign from its neighbour."""
    while abs(pitch.alter) > MOST_ALTER:
        pitch = pitch.moved(1 if pitch.alter > 0 else -1, 0)
    return pitch


def _key_name(name: str, steps: int, semitones: int) -> str:
    """Name the key; words that name none are left out."""
    found = KEY_NAME.fullmatch(name)
    if found is None:
        return ""
    alter = found[2].count("sharp") - found[2].count("flat")
    tonic = Pitch(4, found[1], alter).moved(steps, semitones)
    signs = " sharp" * tonic.alter + " flat" * -tonic.alter
    return f"{tonic.step}{signs}{found[3] or ''}"
