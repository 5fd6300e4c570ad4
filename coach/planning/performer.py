"""Who plays on what, with all numbers that planning needs."""

from __future__ import annotations

from dataclasses import dataclass, replace

from coach.planning.air.air_settings import AirSettings
from coach.planning.air.lungs import Player
from coach.planning.breathing.breath_settings import BreathSettings
from coach.planning.breathing.passage import Breather
from coach.planning.breathing.prompts import PromptSettings
from coach.planning.instrument.instrument import Instrument
from coach.planning.slide.slide_settings import SlideSettings
from coach.planning.slide.tongue import TongueSettings


@dataclass(frozen=True, slots=True)
class PlanSettings:
    """All numbers that planning needs."""

    air: AirSettings
    """The air model."""

    breaths: BreathSettings
    """Weights of breathing."""

    slide: SlideSettings
    """Weights of arm and tongue."""

    tongue: TongueSettings
    """How many strokes a second a tongue makes."""

    prompts: PromptSettings
    """How early to say what."""


@dataclass(frozen=True, slots=True)
class Performer:
    """Who plays on what, with all numbers that planning needs."""

    player: Player
    """Whose lungs."""

    instrument: Instrument
    """What it is played on."""

    settings: PlanSettings
    """All numbers."""

    @property
    def breather(self) -> Breather:
        """The same as far as breathing goes."""
        played, is_out_first = self.instrument, self.instrument.breathes_out_first
        breaths = self.settings.breaths
        costs = breaths.played_on(played.high_from, is_out_first=is_out_first)
        return Breather(self.player, self.settings.air, costs)

    @property
    def prompts(self) -> PromptSettings:
        """What is said when, in the way of the instrument's players."""
        prompts = self.settings.prompts
        out_first = prompts.breathes_out_first or self.instrument.breathes_out_first
        return replace(prompts, breathes_out_first=out_first)
