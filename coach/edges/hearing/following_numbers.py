"""Read all numbers of what is told while a run plays: shipped, or the player's own."""

from __future__ import annotations

from coach.config import read_settings
from coach.rehearsal.hearing.following.following_settings import (
    FollowingSettings,
    LevelSettings,
    LiveBreathSettings,
    SoundingSettings,
    StartSoundSettings,
    StopSettings,
)


def read_following_settings() -> FollowingSettings:
    """Read the shipped numbers, with the player's own in their place."""
    return FollowingSettings(
        sounding=read_settings(SoundingSettings, "following", "sounding"),
        breaths=read_settings(LiveBreathSettings, "following", "breaths"),
        stops=read_settings(StopSettings, "following", "stops"),
        levels=read_settings(LevelSettings, "following", "levels"),
        starts=read_settings(StartSoundSettings, "following", "starts"),
    )
