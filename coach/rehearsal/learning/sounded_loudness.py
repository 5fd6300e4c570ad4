"""Runs as loud as they were heard: what the microphone adds to what the page asked.

A player who spends the sound at the start of a breath, or plays the page's piano as
loud as its forte, takes other air than the page says.  How loud a run was as a whole
no microphone can tell, so a note is held against the same pitch in the same run.
"""

from __future__ import annotations

from dataclasses import replace

from coach.rehearsal.learning.candidates import LearningSettings
from coach.rehearsal.review.sounded_bars import levels_off
from coach.rehearsal.run.evidence import Evidence


def as_sounded(evidence: Evidence, settings: LearningSettings) -> Evidence:
    """Give what a run asked of the lungs, its dynamics drawn to what was heard.

    Returns
    -------
    Evidence
        The same where nobody listened.  Notes of which nothing is known stay as the
        page has them.
    """
    if not evidence.sounded:
        return evidence
    step_db, most = settings.step_db, settings.most_heard_steps
    notes = []
    for note, off_db in zip(evidence.notes, levels_off(evidence, step_db), strict=True):
        steps = settings.heard_loudness_share * (off_db or 0.0) / step_db
        steps = max(-most, min(most, steps))
        notes.append(
            replace(
                note,
                loud_start=note.loud_start + steps,
                loud_end=note.loud_end + steps,
            )
        )
    return replace(evidence, notes=tuple(notes))
