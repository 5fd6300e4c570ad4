"""Read all numbers of the ear: the shipped ones, or the player's own."""

from __future__ import annotations

from coach.config import read_settings
from coach.rehearsal.hearing.alignment.alignment_settings import (
    CountInSettings,
    EvidenceSettings,
    FineSettings,
    NoteSettings,
    RefineSettings,
    RoughSettings,
)
from coach.rehearsal.hearing.features.click_bleed import BleedSettings
from coach.rehearsal.hearing.features.feature_settings import FeatureSettings
from coach.rehearsal.hearing.hearing_settings import HearingSettings
from coach.rehearsal.hearing.judging.judging_settings import (
    SoundSettings,
    TimingSettings,
    TrustSettings,
)


def read_hearing_settings() -> HearingSettings:
    """Read the shipped numbers, with the player's own in their place."""
    return HearingSettings(
        features=read_settings(FeatureSettings, "hearing", "features"),
        bleed=read_settings(BleedSettings, "hearing", "bleed"),
        evidence=read_settings(EvidenceSettings, "hearing", "evidence"),
        rough=read_settings(RoughSettings, "hearing", "rough"),
        fine=read_settings(FineSettings, "hearing", "fine"),
        refine=read_settings(RefineSettings, "hearing", "refine"),
        notes=read_settings(NoteSettings, "hearing", "notes"),
        count_in=read_settings(CountInSettings, "hearing", "count_in"),
        timing=read_settings(TimingSettings, "hearing", "timing"),
        evenness=read_settings(SoundSettings, "hearing", "evenness"),
        trust=read_settings(TrustSettings, "hearing", "trust"),
    )
