"""Hear a run: its sound and what was due in it, to what was heard, or why nothing is.

The ear looks at the sound while it is recorded or read, and tells when it is over.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from coach.rehearsal.hearing.alignment.taken_notes import find_notes
from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.features.click_bleed import HeardClick, take_out_clicks
from coach.rehearsal.hearing.features.features import (
    Features,
    FeatureTaker,
    LookGrid,
    Row,
)
from coach.rehearsal.hearing.heard import Heard, Refusal, Refused
from coach.rehearsal.hearing.hearing_settings import HearingSettings
from coach.rehearsal.hearing.judging.telling import tell
from coach.rehearsal.hearing.judging.trust import (
    refuse_notes,
    refuse_sound,
    sound_facts,
)
from coach.rehearsal.hearing.take import Sounding
from coach.rehearsal.hearing.take_start import find_take_start

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


class Ear:
    """Hears one run while it is recorded.

    `push` each block as it comes, `finish` once.  Blocks may be of any length; the
    result does not depend on it.
    """

    def __init__(self, due: DuePart, rate_hz: float, settings: HearingSettings) -> None:
        keys = [note.midi for note in due.notes]
        self._due, self._settings = due, settings
        self._taker = FeatureTaker(rate_hz, min(keys), max(keys), settings.features)
        self._rate_hz = rate_hz
        self._count = 0

    @property
    def grid(self) -> LookGrid:
        """At which moments and for which pitches it looks."""
        return self._taker.grid

    def push(self, samples: NDArray[np.float32]) -> list[Row]:
        """Hear one block: one channel, full scale 1; give the looks that it brought."""
        self._count += len(samples)
        return self._taker.push(samples)

    def finish(self, sounding: Sounding, due: DuePart | None = None) -> Heard | Refused:
        """Tell what was heard; `due` where breaths have moved since it began."""
        due = due or self._due
        trust = self._settings.trust
        length_s = self._count / self._rate_hz
        if length_s < trust.shortest_s:
            return Refused(Refusal.TOO_SHORT)
        features = self._taker.finish()
        facts = sound_facts(features)
        refused = refuse_sound(facts, trust)
        if refused is not None:
            return refused
        features = self._without_clicks(features, sounding)
        zero = float(due.notes[0].due)
        first = None if sounding.began is None else float(sounding.began) - zero
        taken = find_notes(features, due, first, self._settings)
        refused = refuse_notes(taken, due, facts, trust)
        if refused is not None:
            return refused
        count_in = self._settings.count_in
        start = find_take_start(taken, due, features, sounding, count_in)
        return tell(taken, due, start, facts, self._settings)

    def _without_clicks(self, features: Features, sounding: Sounding) -> Features:
        """Take our own click out of our own recording."""
        if sounding.began is None:
            return features
        clicks = [
            HeardClick(float(click.at - sounding.began), click.kind)
            for click in sounding.clicks
        ]
        return take_out_clicks(features, self._taker, clicks, self._settings.bleed)
