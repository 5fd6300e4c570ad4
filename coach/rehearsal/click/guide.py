"""What may be heard beside the click: the line itself, its tonic, and when to breathe.

Conventions
-----------
Times are run time.  Pitches are sounding MIDI key numbers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from coach.score.note import SEMITONES_IN_OCTAVE, STEP_SEMITONES
from coach.score.phrase import Part, time_notes
from coach.score.tempo import Seconds, TempoMap

if TYPE_CHECKING:  # the engine and the shelf need no planner
    from coach.planning.breathing.breaths import Breath

FIFTH_SEMITONES = 7
LOWEST_KEY, HIGHEST_KEY = 0, 127
"""What a MIDI key number can say (MIDI 1.0: seven bits)."""


@dataclass(frozen=True, slots=True)
class HeldNote:
    """One note that is held beside the click."""

    start: Seconds
    """When it begins."""

    end: Seconds
    """When it ends; after `start`."""

    key: int
    """MIDI key number."""

    loudness: float
    """Steps from mezzo-forte."""


def guide_notes(
    part: Part,
    tempo_map: TempoMap,
    breaths: Sequence[Breath] = (),
    ends: Sequence[Seconds] = (),
) -> tuple[HeldNote, ...]:
    """Give the part's own notes, with silence where the player breathes.

    Parameters
    ----------
    breaths : sequence of Breath
        Planned breaths; each ends the note before it.
    ends : sequence of Seconds
        When each note stops sounding, one per note; empty for written ends.

    Returns
    -------
    tuple of HeldNote
        One for each note that sounds at all, in order.
    """
    stops = list(ends) or [time.end for time in time_notes(part, tempo_map)]
    for breath in breaths:
        stops[breath.after_note] = min(stops[breath.after_note], breath.start)
    held = []
    for note, end in zip(part.notes, stops, strict=True):
        start = tempo_map.seconds_at(note.onset)
        key = min(HIGHEST_KEY, max(LOWEST_KEY, note.sounding.midi))
        if end > start:
            held.append(HeldNote(start, end, key, note.loud_start))
    return tuple(held)


def drone_notes(
    part: Part, tempo_map: TempoMap, starts: Seconds, low_key: int
) -> tuple[HeldNote, ...]:
    """Give the tonic as one long note for each key signature.

    Parameters
    ----------
    part : Part
        Whose keys; the mode is taken from its `key_name` and kept through changes of
        signature; major where the name does not tell.
    starts : Seconds
        When the first one begins: with the count-in, to tune to.
    low_key : int
        Lowest key it may be; the tonic in the octave from there is taken.
    """
    mode_semitones = _tonic_from_signature(part)
    held: list[HeldNote] = []
    for fifths, group in groupby(part.bars, key=lambda bar: bar.fifths):
        bars = list(group)
        tonic = fifths * FIFTH_SEMITONES + mode_semitones
        key = low_key + (tonic - low_key) % SEMITONES_IN_OCTAVE
        start = tempo_map.seconds_at(bars[0].onset) if held else starts
        held.append(HeldNote(start, tempo_map.seconds_at(bars[-1].end), key, 0.0))
    return tuple(held)


def _tonic_from_signature(part: Part) -> int:
    """Semitones from the signature's major tonic up to the part's own."""
    words = part.key_name.split()
    step = words[0][0].upper() if words else ""
    if step not in STEP_SEMITONES:
        return 0
    name = part.key_name.lower()
    alter = ("sharp" in name or "#" in words[0]) - (
        "flat" in name or words[0][1:].startswith("b")
    )
    major = part.bars[0].fifths * FIFTH_SEMITONES
    return (STEP_SEMITONES[step] + alter - major) % SEMITONES_IN_OCTAVE
