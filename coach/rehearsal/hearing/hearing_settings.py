"""All numbers of the ear: ``config/hearing.toml``, a table for each part of it."""

from __future__ import annotations

from dataclasses import dataclass

from coach.rehearsal.hearing.alignment.alignment_settings import (
    CountInSettings,
    EvidenceSettings,
    FineSettings,
    NoteSettings,
    RoughSettings,
)
from coach.rehearsal.hearing.alignment.moment_settings import (
    RefineSettings,
    TurnSettings,
)
from coach.rehearsal.hearing.features.click_bleed import BleedSettings
from coach.rehearsal.hearing.features.feature_settings import FeatureSettings
from coach.rehearsal.hearing.judging.judging_settings import (
    GapSettings,
    SoundSettings,
    SwingSettings,
    TimingSettings,
    TrustSettings,
)


@dataclass(frozen=True, slots=True)
class HearingSettings:
    """Everything in ``config/hearing.toml``."""

    features: FeatureSettings
    """How finely the ear looks."""

    bleed: BleedSettings
    """When the click is taken out."""

    evidence: EvidenceSettings
    """What speaks for a note."""

    rough: RoughSettings
    """The first way through a take."""

    fine: FineSettings
    """The second."""

    turn: TurnSettings
    """When one note gives way to the next."""

    refine: RefineSettings
    """Moments finer than a look."""

    notes: NoteSettings
    """What a note was."""

    count_in: CountInSettings
    """How a count-in is found."""

    timing: TimingSettings
    """What counts as ahead and behind."""

    swing: SwingSettings
    """What counts as swung."""

    breaths: GapSettings
    """Which gaps are breaths."""

    evenness: SoundSettings
    """What counts as uneven."""

    trust: TrustSettings
    """When nothing is said."""
