"""What lies on the stand, played louder from a moment on: as it is heard."""

from __future__ import annotations

from dataclasses import replace

from coach.rehearsal.stand.stand import Stand
from coach.score.tempo import Seconds


def play_louder(stand: Stand, at: Seconds, steps: float) -> Stand:
    """Let every note that is still to come be some steps louder, or softer.

    Parameters
    ----------
    at : Seconds
        Run time from which on.
    steps : float
        Steps of dynamics.

    Returns
    -------
    Stand
        With another part on it; its plan is made anew by whoever goes on with it.
    """
    part = stand.segment.part
    notes = tuple(
        note
        if time.end <= at
        else replace(
            note, loud_start=note.loud_start + steps, loud_end=note.loud_end + steps
        )
        for note, time in zip(part.notes, stand.plan.times, strict=True)
    )
    segment = replace(stand.segment, part=replace(part, notes=notes))
    return replace(stand, segment=segment)
