"""The whole plan for a part at a tempo: breaths, positions, articulation, prompts.

Breaths and positions lean on each other: a breath gives the arm time, and arm and
tongue cost air.  So breaths are planned for even effort first, then positions
around them, then breaths again with the effort of those positions; if that moves a
breath, the positions follow.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

from coach.planning.air.air import AirSettings, effort_factors
from coach.planning.air.lungs import Player
from coach.planning.breathing.air_levels import AirLevels, lay_air_levels
from coach.planning.breathing.breath_costs import BreathSettings
from coach.planning.breathing.breaths import BreathPlan, Locks, plan_breaths
from coach.planning.breathing.prompts import Prompt, PromptSettings, lay_prompts
from coach.planning.edits import Edits
from coach.planning.instrument.instrument import Instrument
from coach.planning.slide.slide import SlidePlan, plan_slide, plan_tongued
from coach.planning.slide.slide_costs import SlideSettings
from coach.planning.slide.tongue import TongueSettings, advise_tongue
from coach.score.phrase import NoteTime, Part, time_notes
from coach.score.tempo import TempoMap

NOTHING_CHANGED = Edits()


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

    instrument: Instrument
    """What it is played on."""

    breaths: BreathPlan
    """Where to breathe and where the air goes."""

    slide: SlidePlan
    """Positions and articulation."""

    prompts: tuple[Prompt, ...]
    """What to say when, in order."""

    air: AirLevels
    """The air at every moment."""


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


def make_plan(
    part: Part,
    bpm: float,
    *,
    ends: Sequence[float],
    player: Player,
    instrument: Instrument,
    settings: PlanSettings,
    edits: Edits = NOTHING_CHANGED,
) -> Plan:
    """Plan breaths, positions and articulation together.

    Parameters
    ----------
    part : Part
        The part or segment.
    bpm : float
        Tempo, in the part's beat.
    ends : sequence of float, length n - 1
        How likely a musician hears a phrase end in each gap, 0 to 1.
    player : Player
        Whom it is for.
    instrument : Instrument
        What it is played on.
    settings : PlanSettings
        All numbers.
    edits : Edits
        What the player insists on, counted from the part's first note.

    Returns
    -------
    Plan
        Everything that is decided.
    """
    part = louder(part, edits.dynamic_shift)
    tempo_map = part.at_tempo(bpm)
    times = time_notes(part, tempo_map)
    plan_places = partial(
        plan_breaths,
        part,
        tempo_map,
        ends=ends,
        player=player,
        air=settings.air,
        costs=settings.breaths,
        locks=edits.locks,
        times=times,
    )
    plan_arm = partial(
        plan_slide,
        part,
        tempo_map,
        instrument,
        settings.slide,
        dial=settings.slide.dial_share if edits.dial is None else edits.dial,
        locked=dict(edits.positions),
    )
    first = plan_places()
    slide = plan_arm(breaths_after=_places(first))
    breaths = plan_places(effort=effort_factors(slide, settings.air))
    if _places(breaths) != _places(first):
        slide = plan_arm(breaths_after=_places(breaths))
    return _bind(part, bpm, ends, player, instrument, settings, breaths, slide)


def make_tongued_plan(
    part: Part,
    bpm: float,
    *,
    ends: Sequence[float],
    player: Player,
    instrument: Instrument,
    settings: PlanSettings,
    breaths_after: frozenset[int],
) -> Plan:
    """Plan the same phrase tongued throughout in usual positions, to compare with.

    Parameters
    ----------
    part, bpm, ends, player, instrument, settings
        As for `make_plan`.
    breaths_after : frozenset of int
        Where the other plan breathes: this one breathes there too, so that the
        difference is arm and tongue alone.

    Returns
    -------
    Plan
        Every note struck.
    """
    tempo_map = part.at_tempo(bpm)
    slide = plan_tongued(part, tempo_map, instrument, settings.slide, breaths_after)
    breaths = plan_breaths(
        part,
        tempo_map,
        ends=ends,
        player=player,
        air=settings.air,
        costs=settings.breaths,
        locks=Locks(must=breaths_after, must_not=_all_gaps(part) - breaths_after),
        effort=effort_factors(slide, settings.air),
    )
    return _bind(part, bpm, ends, player, instrument, settings, breaths, slide)


def louder(part: Part, steps: float) -> Part:
    """Give the same part louder (or, below 0, softer) by steps of dynamics."""
    if not steps:
        return part
    return replace(
        part,
        notes=tuple(
            replace(
                note,
                loud_start=note.loud_start + steps,
                loud_end=note.loud_end + steps,
            )
            for note in part.notes
        ),
    )


def _places(breaths: BreathPlan) -> frozenset[int]:
    """Name the notes that a breath follows."""
    return frozenset(breath.after_note for breath in breaths.breaths)


def _all_gaps(part: Part) -> frozenset[int]:
    """Name every note that another follows."""
    return frozenset(range(len(part.notes) - 1))


def _bind(
    part: Part,
    bpm: float,
    ends: Sequence[float],
    player: Player,
    instrument: Instrument,
    settings: PlanSettings,
    breaths: BreathPlan,
    slide: SlidePlan,
) -> Plan:
    """Put what was decided together, with the prompts."""
    tempo_map = part.at_tempo(bpm)
    times = time_notes(part, tempo_map)
    advice = advise_tongue(part, tempo_map, slide.articulations, settings.tongue)
    return Plan(
        part=part,
        bpm=bpm,
        tempo_map=tempo_map,
        times=times,
        phrase_ends=tuple(ends),
        player=player,
        instrument=instrument,
        breaths=breaths,
        slide=replace(slide, notices=slide.notices + advice),
        prompts=lay_prompts(part, tempo_map, breaths, settings.prompts),
        air=lay_air_levels(part, times, breaths, player, settings.air),
    )
