"""How much more air a note takes for the tongue and the arm."""

from __future__ import annotations

from collections.abc import Sequence

from coach.planning.air.air_settings import AirSettings
from coach.planning.breathing.passage import stroke_share
from coach.planning.instrument.partials import CM_IN_M
from coach.planning.slide.slide import Articulation, SlidePlan
from coach.score.phrase import NoteTime


def effort_factors(
    slide_plan: SlidePlan, times: Sequence[NoteTime], settings: AirSettings
) -> tuple[float, ...]:
    """Tell how much more air each note takes for the tongue and the arm.

    A stroke of the tongue takes as much as the note would in a few hundredths of a
    second, so it hardly counts in a long note and much in a quick one; never more
    than the note itself.

    Parameters
    ----------
    times : sequence of NoteTime
        When each note sounds, as written.
    settings : AirSettings
        What a stroke and a metre of slide cost: common practice, no published
        source.

    Returns
    -------
    tuple of float
        A factor for each note, 1 for a natural slur in the same place.
    """
    factors = []
    before: float | None = None
    for placement, articulation, time in zip(
        slide_plan.placements, slide_plan.articulations, times, strict=True
    ):
        moved = 0.0
        if before is not None and placement.cm is not None:
            moved = abs(placement.cm - before) / CM_IN_M
        before = placement.cm
        lasts_s = time.end - time.start
        factors.append(effort_factor(articulation, moved, lasts_s, settings))
    return tuple(factors)


def effort_factor(
    articulation: str, moved_m: float, lasts_s: float, settings: AirSettings
) -> float:
    """Tell how much more air one note takes for the tongue and the arm.

    Parameters
    ----------
    articulation : str
        How it is begun, by the name of its articulation.
    moved_m : float
        How far the slide goes to reach it, in metres.
    lasts_s : float
        Its written length, in seconds.

    Returns
    -------
    float
        1 for a natural slur in the same place.
    """
    stroke = stroke_share(_stroke_s(articulation, settings), lasts_s)
    return 1.0 + stroke + moved_m * settings.arm_share_per_m


def strokes_of(slide_plan: SlidePlan, settings: AirSettings) -> tuple[float, ...]:
    """Tell how many seconds' air of its note each stroke takes; 0 for a slur."""
    return tuple(_stroke_s(begun, settings) for begun in slide_plan.articulations)


def _stroke_s(articulation: str, settings: AirSettings) -> float:
    """Tell how many seconds' air of its note a stroke takes; 0 where there is none."""
    strokes: dict[str, float] = {
        Articulation.TONGUED: settings.tongue_stroke_s,
        Articulation.LEGATO_TONGUED: settings.legato_stroke_s,
    }
    return strokes.get(articulation, 0.0)
