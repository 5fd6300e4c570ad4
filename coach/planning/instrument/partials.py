"""The notes that one length of tube gives.

Conventions
-----------
A partial is counted from 1, the fundamental or pedal.  Its place is in semitones
above the pedal, with the fraction that equal temperament does not have.

References
----------
The harmonic series: partial n sounds at n times the fundamental, which is
12 log2(n) semitones above it.  An open conical or flared brass tube has the series of
a cylinder open at both ends: its pedal has twice the tube for a wave.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import log2

from coach.score.note import A4_HZ, A4_MIDI

SEMITONES_IN_OCTAVE = 12
CENTS_IN_SEMITONE = 100.0
CM_IN_M = 100.0


def partial_semitones(partial: int, offset_cents: float = 0.0) -> float:
    """Tell how far a partial lies above its pedal, in semitones.

    Parameters
    ----------
    partial : int
        From 1.
    offset_cents : float
        How far this horn's partial lies above the harmonic series, in cents.

    Examples
    --------
    >>> round(partial_semitones(7), 2)
    33.69
    """
    return SEMITONES_IN_OCTAVE * log2(partial) + offset_cents / CENTS_IN_SEMITONE


def lay_partials(offsets_cents: Sequence[float]) -> tuple[float, ...]:
    """Give every partial of a tube, in semitones above its pedal, from the first."""
    return tuple(
        partial_semitones(k + 1, cents) for k, cents in enumerate(offsets_cents)
    )


def tube_ratio(semitones: float) -> float:
    """Tell how much longer a tube must be to sound so many semitones lower."""
    return float(2.0 ** (semitones / SEMITONES_IN_OCTAVE))


def tube_length_cm(pedal_midi: int, sound_mps: float) -> float:
    """Tell how long a tube is whose first partial is a sounding key: c / 2f.

    Examples
    --------
    >>> round(tube_length_cm(34, 345.0))
    296
    """
    pedal_hz = A4_HZ * tube_ratio(pedal_midi - A4_MIDI)
    return CM_IN_M * sound_mps / (2 * pedal_hz)


def lowered_semitones(ratio: float) -> float:
    """Tell how many semitones lower a tube sounds that is so much longer."""
    return SEMITONES_IN_OCTAVE * log2(ratio)
