"""All numbers of a rehearsal: how a run is watched, when to move on, what counts."""

from __future__ import annotations

from dataclasses import dataclass

from coach.rehearsal.ahead.body_words import BodyWords
from coach.rehearsal.click.click_settings import ClickSettings
from coach.rehearsal.click.tempo_scale import TempoSettings
from coach.rehearsal.hearing.telling_settings import TellingSettings
from coach.rehearsal.review.ladder_settings import LadderSettings
from coach.rehearsal.review.sounded_bars import SoundedSettings
from coach.rehearsal.review.trouble_settings import TroubleSettings
from coach.rehearsal.run.run import RunSettings


@dataclass(frozen=True, slots=True)
class RehearsalSettings:
    """Everything in ``config/rehearsal.toml``, the sounds, the level of empty lungs."""

    run: RunSettings
    """How a run is watched."""

    tempo: TempoSettings
    """The scale of tempos."""

    ladder: LadderSettings
    """When to move on."""

    trouble: TroubleSettings
    """What counts as trouble."""

    sounded: SoundedSettings
    """When runs that were heard agree."""

    telling: TellingSettings
    """How sure the ear must be, from ``config/recordings.toml``."""

    clicks: ClickSettings
    """The sounds of a track, from ``config/click.toml``."""

    empty_air: float
    """Level below which nothing more can be blown, as a fraction of capacity."""

    acceleration_mps2: float
    """What a trained arm gives the slide, from ``config/slide.toml``."""

    body: tuple[BodyWords, ...]
    """Words on a run that say that playing harms, from ``config/cautions.toml``."""
