"""Find where in the run a take began: by our clock, its count-in, or its own average.

A recording from elsewhere (a phone's) does not know.  Its notes tell roughly; the
count-in, where it can be heard, tells exactly.
"""

from __future__ import annotations

from dataclasses import dataclass
from statistics import median, median_high

from coach.rehearsal.hearing.alignment.alignment_settings import CountInSettings
from coach.rehearsal.hearing.alignment.count_in import find_count_in
from coach.rehearsal.hearing.alignment.page_leaps import leapt_s
from coach.rehearsal.hearing.alignment.taken_notes import Taken
from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.features.features import Features
from coach.rehearsal.hearing.heard import ToldAgainst
from coach.rehearsal.hearing.take import Sounding


@dataclass(frozen=True, slots=True)
class TakeStart:
    """Where a take lies in run time, and what that is told against."""

    offset: float
    """Run time of its first sample."""

    told_against: ToldAgainst
    """What ahead and behind are told against."""


def find_take_start(
    taken: Taken,
    due: DuePart,
    features: Features,
    sounding: Sounding,
    settings: CountInSettings,
) -> TakeStart:
    """Tell when in run time a take began."""
    if sounding.began is not None:
        return TakeStart(float(sounding.began), ToldAgainst.CLICK)
    told = zip(taken.told_of_legs(), leapt_s(taken.legs, due), strict=True)
    longest, leapt = max(told, key=lambda leg: len(leg[0]))
    early = [float(due.notes[note.note].due) - note.at + leapt for note in longest]
    about = median(early[: settings.first_notes])
    found = find_count_in(features, sounding.clicks, about, settings)
    if found is None:
        return TakeStart(median_high(early), ToldAgainst.OWN_AVERAGE)
    return TakeStart(found, ToldAgainst.COUNT_IN)
