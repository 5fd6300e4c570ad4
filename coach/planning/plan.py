"""The whole plan for a part at a tempo: breaths, positions, articulation, prompts."""

from __future__ import annotations

from dataclasses import dataclass

from coach.planning.breaths import BreathPlan
from coach.planning.lungs import Player
from coach.planning.prompts import Prompt
from coach.planning.slide import SlidePlan
from coach.score.phrase import NoteTime, Part
from coach.score.tempo import TempoMap


@dataclass(frozen=True, slots=True)
class Plan:
    """All that is decided before a run."""

    part: Part
    """The part or segment it is for."""

    bpm: float
    """Tempo, in the part's beat."""

    tempo_map: TempoMap
    """The page's speeds at that tempo."""

    times: tuple[NoteTime, ...]
    """When each note sounds, as written."""

    phrase_ends: tuple[float, ...]
    """For each gap, how likely a musician hears a phrase end there, 0 to 1."""

    player: Player
    """Whom it is for."""

    instrument: str
    """Name of the instrument's file."""

    breaths: BreathPlan
    """Where to breathe and where the air goes."""

    slide: SlidePlan
    """Positions and articulation."""

    prompts: tuple[Prompt, ...]
    """What to say when, in order."""
