"""Read all numbers of the ear: the shipped ones, or the player's own."""

from __future__ import annotations

from coach.config import read_tables
from coach.rehearsal.hearing.following.following_settings import FollowingSettings
from coach.rehearsal.hearing.hearing_settings import HearingSettings


def read_hearing_settings() -> HearingSettings:
    """Read what the ear goes by when a take is whole."""
    return read_tables(HearingSettings, "hearing")


def read_following_settings() -> FollowingSettings:
    """Read what it goes by while a run plays, and before it."""
    return read_tables(FollowingSettings, "following")
