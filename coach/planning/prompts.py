"""What to say when: breathe in so many beats, top off, no breath for a while."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coach.planning.breaths import BreathPlan
from coach.score.phrase import Part, place_of
from coach.score.tempo import Seconds, TempoMap

PromptKind = Literal["full", "catch", "hold"]


@dataclass(frozen=True, slots=True)
class Prompt:
    """One thing to tell the player, early enough to act."""

    at: Seconds
    """When to say it, in run time."""

    bar: int
    """Bar on the page where it is said."""

    beat: float
    """Beat in that bar, from 1."""

    say: str
    """The words: ``top off after bar 7 beat 3, in 4 beats``."""

    kind: PromptKind
    """A full breath, a catch breath to top off, or no breath for a while."""

    breath: int | None
    """Index of the breath it announces; None for ``hold``."""


@dataclass(frozen=True, slots=True)
class PromptSettings:
    """The keys of ``config/prompts.toml``."""

    ahead_beats: float
    """How many beats before a breath it is announced."""


def lay_prompts(
    part: Part, tempo_map: TempoMap, breaths: BreathPlan, settings: PromptSettings
) -> tuple[Prompt, ...]:
    """Say what to tell the player and when.

    Parameters
    ----------
    part : Part
        What is played.
    tempo_map : TempoMap
        Its speeds.
    breaths : BreathPlan
        The breaths to announce.
    settings : PromptSettings
        How early.

    Returns
    -------
    tuple of Prompt
        In order of time.
    """
    prompts = []
    for k, breath in enumerate(breaths.breaths):
        note = part.notes[breath.after_note]
        place = tempo_map.beats_at(breath.start)
        early = place - settings.ahead_beats * float(part.tempo.beat)
        said = place_of(part, early)
        verb = "breathe" if breath.kind == "full" else "top off"
        prompts.append(
            Prompt(
                at=Seconds(
                    breath.start
                    - settings.ahead_beats
                    * float(part.tempo.beat)
                    * 60
                    / tempo_map.quarters_per_minute_at(note.onset)
                ),
                bar=said.bar,
                beat=said.beat,
                say=f"{verb} in {settings.ahead_beats:g} beats",
                kind=breath.kind,
                breath=k,
            )
        )
    return tuple(prompts)
