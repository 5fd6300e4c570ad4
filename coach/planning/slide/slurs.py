"""What happens between two places when the tongue stays out of it.

On a slide a slur is clean when the horn itself parts the two notes: another partial
in the same position (lip slur), the slide moving against the pitch, which always
crosses a partial (natural slur), or a valve.  With the pitch, the slide smears
unless a soft tongue parts the notes; on one partial it always smears.

References
----------
"Playing Legato on the Trombone: A Primer", trombone.org: lip slurs, slurs against
the grain, the legato tongue with the grain, the valve slur.
"""

from __future__ import annotations

from enum import Enum, auto

from coach.planning.instrument.placement import Articulation, Placement


class Move(Enum):
    """What the arm, the lip and the valves do between two notes."""

    STAY = auto()
    """Same place, same partial: the note again."""

    LIP = auto()
    """Same position, another partial."""

    AGAINST = auto()
    """The slide goes against the pitch and so across a partial."""

    VALVE = auto()
    """A valve goes down or up."""

    ACROSS = auto()
    """The slide goes with the pitch, across a partial."""

    SMEAR = auto()
    """The slide moves on one partial."""

    FREE = auto()
    """Nothing that the coach plans: keys, holes, a voice."""


CLEAN = {
    Move.LIP: Articulation.LIP_SLUR,
    Move.AGAINST: Articulation.NATURAL_SLUR,
    Move.VALVE: Articulation.VALVE_SLUR,
    Move.FREE: Articulation.NATURAL_SLUR,
}
"""Moves that part two notes with no tongue, and what the slur is called."""


def move_between(before: Placement, after: Placement, semitones: int) -> Move:
    """Tell what happens from one place to the next.

    Parameters
    ----------
    before, after : Placement
        Where the two notes are played.
    semitones : int
        From the first pitch to the second; positive when it rises.

    Returns
    -------
    Move
        A small correction within one position is no move of the slide.
    """
    if semitones == 0 and before == after:
        return Move.STAY
    if before.partial is None or after.partial is None:
        return Move.FREE if semitones else Move.STAY
    if before.valves != after.valves:
        return Move.VALVE
    if before.partial == after.partial:
        return Move.SMEAR
    if before.number == after.number:
        return Move.LIP
    goes_out = (after.cm or 0.0) > (before.cm or 0.0)
    return Move.AGAINST if goes_out == (semitones > 0) else Move.ACROSS
