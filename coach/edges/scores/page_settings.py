"""Read what a page leaves open from the settings: grace notes, hairpins, tempo."""

from __future__ import annotations

from dataclasses import replace

from coach.config import read_settings
from coach.score.loudness import LoudnessSettings
from coach.score.played.graces import GraceSettings
from coach.score.played.unfolding import PageSettings
from coach.score.speeds import SpeedSettings


def read_page_settings() -> PageSettings:
    """Read what a page leaves open from the settings."""
    speeds = read_settings(SpeedSettings, "scores", "speeds")
    names = tuple((str(name), float(bpm)) for name, bpm in speeds.names_bpm)
    return PageSettings(
        loudness=read_settings(LoudnessSettings, "scores", "loudness"),
        speeds=replace(speeds, names_bpm=names),
        graces=read_settings(GraceSettings, "scores", "graces"),
    )
