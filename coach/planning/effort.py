"""How much more air a note takes for the tongue and the arm."""

from __future__ import annotations

from coach.planning.air.air import AirSettings
from coach.planning.instrument.partials import CM_IN_M
from coach.planning.slide.slide import Articulation, SlidePlan


def effort_factors(slide_plan: SlidePlan, settings: AirSettings) -> tuple[float, ...]:
    """Tell how much more air each note takes for the tongue and the arm.

    Parameters
    ----------
    slide_plan : SlidePlan
        How each note is begun and where the slide goes.
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
    for placement, articulation in zip(
        slide_plan.placements, slide_plan.articulations, strict=True
    ):
        moved = 0.0
        if before is not None and placement.cm is not None:
            moved = abs(placement.cm - before) / CM_IN_M
        before = placement.cm
        factors.append(effort_factor(articulation, moved, settings))
    return tuple(factors)


def effort_factor(articulation: str, moved_m: float, settings: AirSettings) -> float:
    """Tell how much more air one note takes for the tongue and the arm.

    Parameters
    ----------
    articulation : str
        How it is begun, by the name of its articulation.
    moved_m : float
        How far the slide goes to reach it, in metres.
    settings : AirSettings
        What a stroke and a metre of slide cost.

    Returns
    -------
    float
        1 for a natural slur in the same place.
    """
    strokes: dict[str, float] = {
        Articulation.TONGUED: settings.tongue_stroke_share,
        Articulation.LEGATO_TONGUED: settings.legato_stroke_share,
    }
    return 1.0 + strokes.get(articulation, 0.0) + moved_m * settings.arm_share_per_m
