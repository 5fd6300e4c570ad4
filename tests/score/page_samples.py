"""What a page leaves open, for tests, so that they do not move with `config/`."""

from __future__ import annotations

from coach.score.graces import GraceSettings
from coach.score.loudness import LoudnessSettings
from coach.score.speeds import SpeedSettings
from coach.score.unfolding import PageSettings

SETTINGS = PageSettings(
    LoudnessSettings(hairpin_steps=1.0, sforzato_steps=1.0, open_words_quarters=8.0),
    SpeedSettings(
        default_bpm=80,
        slower_share=0.5,
        faster_share=1.5,
        gradual_quarters=16,
        names_bpm=(("allegro", 126.0),),
    ),
    GraceSettings(quick_quarters=0.125, before_share=0.5),
)
