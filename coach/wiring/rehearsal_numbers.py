"""Read all numbers of a rehearsal: the shipped ones, or the player's own."""

from __future__ import annotations

from coach.config import read_settings, read_shipped
from coach.planning.air.air_settings import AirSettings
from coach.planning.slide.slide_settings import SlideSettings
from coach.rehearsal.ahead.body_words import BodyWords
from coach.rehearsal.click.click_settings import ClickSettings
from coach.rehearsal.click.tempo_scale import TempoSettings
from coach.rehearsal.hearing.telling_settings import TellingSettings
from coach.rehearsal.rehearsal_settings import RehearsalSettings
from coach.rehearsal.review.ladder_settings import LadderSettings
from coach.rehearsal.review.sounded_bars import SoundedSettings
from coach.rehearsal.review.trouble_settings import TroubleSettings
from coach.rehearsal.run.run import RunSettings


def read_rehearsal_settings() -> RehearsalSettings:
    """Read the shipped numbers, with the player's own in their place."""
    return RehearsalSettings(
        run=read_settings(RunSettings, "rehearsal", "run"),
        tempo=read_settings(TempoSettings, "rehearsal", "tempo"),
        ladder=read_settings(LadderSettings, "rehearsal", "ladder"),
        trouble=read_settings(TroubleSettings, "rehearsal", "trouble"),
        sounded=read_settings(SoundedSettings, "rehearsal", "sounded"),
        telling=read_settings(TellingSettings, "recordings", "telling"),
        clicks=read_settings(ClickSettings, "click", "track"),
        empty_air=read_settings(AirSettings, "air").empty_share,
        acceleration_mps2=read_settings(SlideSettings, "slide").acceleration_mps2,
        body=read_body_words(),
    )


def read_body_words() -> tuple[BodyWords, ...]:
    """Read which words on a run call for which caution; what hurts is said of each.

    What tires is said of the lips alone.
    """
    shipped = read_shipped("cautions")
    shorts = {caution["name"]: caution["short"] for caution in shipped["caution"]}
    hurts = shipped["said"]["hurts"]
    lips = shipped["said"]["lips"]["of"]
    signs = tuple(shipped["said"]["tired"])
    tired = BodyWords(shorts["lips"], tuple(lips), signs, is_tired=True)
    harm = (
        BodyWords(
            shorts[name],
            tuple(row["of"]),
            (*row["signs"], *(hurts if row["of"] else ())),
        )
        for name, row in shipped["said"].items()
        if name in shorts
    )
    return (*harm, tired)
