"""Name the place of a breath, one way everywhere: the bar and beat in which it begins.

A note that is held over bar lines begins long before the breath after it, so the note
alone names no place.
"""

from __future__ import annotations

from dataclasses import dataclass

from coach.planning.naming import say_place, say_time_through
from coach.score.phrase import Part, Place, note_places, place_of, time_through
from coach.score.tempo import Seconds, TempoMap

ON_THE_BEAT = 0.05
"""So near after a beat, in written units, a breath is said to be on it."""

A_HAIR = 0.1
"""So little before a bar line, in quarter notes, a breath is said to be on it."""

ROUNDING = 1e-6
"""Far below any part of a beat that matters."""


@dataclass(frozen=True, slots=True)
class BreathPlace:
    """Where a breath begins, as a player names it."""

    bar: int
    """Bar number on the page."""

    beat: float
    """The beat in which it begins, or within it the note before, in written units."""

    is_on: bool
    """It begins on that beat; else behind it."""

    def __str__(self) -> str:
        """Write it as ``after bar 7, beat 2.5``, on a beat as ``at bar 8, beat 1``."""
        return f"{'at' if self.is_on else 'after'} {say_place(self.bar, self.beat)}"


def moment_of_breath(part: Part, tempo_map: TempoMap, start: Seconds) -> Place:
    """Tell in which bar and when in it a breath begins.

    Parameters
    ----------
    start : Seconds
        When it begins; a hair before a bar line, it is on it.
    """
    where = tempo_map.beats_at(start)
    place = place_of(part, where)
    after = place_of(part, where + A_HAIR)
    if after.beat < place.beat:
        return Place(after.bar, float(int(after.beat)))
    return place


def name_place(part: Part, tempo_map: TempoMap, k: int, start: Seconds) -> BreathPlace:
    """Name where a breath begins.

    Parameters
    ----------
    k : int
        The note before it.
    start : Seconds
        When it begins.
    """
    place = moment_of_breath(part, tempo_map, start)
    beat = int(place.beat + ON_THE_BEAT)
    if place.beat - beat < ON_THE_BEAT:
        return BreathPlace(place.bar, float(beat), is_on=True)
    return _behind(part, k, place)


def place_after(part: Part, k: int) -> BreathPlace:
    """Name the end of a note, where a breath is wished for that nobody has timed."""
    _, end = note_places(part.notes)[k]
    return _behind(part, k, place_of(part, float(end) - ROUNDING))


def say_after(part: Part, there: int, here: int) -> str:
    """Name the end of a note as seen from another: in a later pass, which time that is.

    Parameters
    ----------
    there, here : int
        The note, and the one that it is seen from.
    """
    name, time = str(place_after(part, there)), time_through(part, there)
    is_other = time > 1 and time != time_through(part, here)
    return f"{name},{say_time_through(time)[1:]}," if is_other else name


def _behind(part: Part, k: int, place: Place) -> BreathPlace:
    """Name the beat before a moment, or the note where it begins within that beat."""
    note, beat = part.notes[k], float(int(place.beat))
    begins = float(note.beat)
    if note.bar == place.bar and beat < begins <= place.beat:
        beat = begins
    return BreathPlace(place.bar, beat, is_on=False)


def place_within(part: Part, tempo_map: TempoMap, k: int, moment: Seconds) -> Place:
    """Name the beat of a moment within a note; in its first beat, by its own place.

    Parameters
    ----------
    k : int
        The note.
    """
    note = part.notes[k]
    place = place_of(part, tempo_map.beats_at(moment))
    beat = float(int(place.beat + ROUNDING))
    if place.bar == note.bar and beat <= note.beat:
        return Place(note.bar, float(note.beat))
    return Place(place.bar, beat)
