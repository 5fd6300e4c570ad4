"""What is kept of how a run sounded, for reviews and for learning: what is sure."""

from __future__ import annotations

from coach.planning.plan import Plan
from coach.rehearsal.hearing.heard import Heard, HeardNote, ToldAgainst
from coach.rehearsal.hearing.telling_settings import TellingSettings
from coach.rehearsal.run.evidence import SoundedNote

TIME_DIGITS, LEVEL_DIGITS = 3, 1
"""Decimals kept: a millisecond and a tenth of a decibel, finer than the ear hears."""


def sounded_notes(
    plan: Plan, heard: Heard, settings: TellingSettings
) -> tuple[SoundedNote, ...]:
    """Tell how each note of a run sounded.

    Returns
    -------
    tuple of SoundedNote
        One for each note of the plan; empty where the ear is not sure of the run.
    """
    if heard.confidence < settings.sure_share:
        return ()
    is_timed = heard.told_against is not ToldAgainst.OWN_AVERAGE
    return tuple(
        _sounded(note.bar, told, settings.sure_share, is_timed)
        for note, told in zip(plan.part.notes, heard.notes, strict=True)
    )


def _sounded(bar: int, told: HeardNote, sure: float, is_timed: bool) -> SoundedNote:
    """Tell how one note sounded, as far as that is sure."""
    if told.heard is None or told.confidence < sure:
        return SoundedNote(bar, None, None)
    behind = told.behind if is_timed else None
    level = told.level_db
    return SoundedNote(
        bar,
        None if behind is None else round(float(behind), TIME_DIGITS),
        None if level is None else round(level, LEVEL_DIGITS),
    )
