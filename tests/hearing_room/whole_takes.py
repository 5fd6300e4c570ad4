"""A whole take, heard as if it had been listened to along."""

from __future__ import annotations

from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.hear import Ear
from coach.rehearsal.hearing.heard import Heard, Refused
from coach.rehearsal.hearing.hearing_settings import HearingSettings
from coach.rehearsal.hearing.take import Take

BLOCK_SAMPLES = 1 << 18
"""More at a time would take more memory."""


def hear(take: Take, due: DuePart, settings: HearingSettings) -> Heard | Refused:
    """Give what is heard in a take; or why nothing can be said."""
    ear = Ear(due, take.rate_hz, settings)
    for begin in range(0, len(take.samples), BLOCK_SAMPLES):
        ear.push(take.samples[begin : begin + BLOCK_SAMPLES])
    return ear.finish(take.sounding)
