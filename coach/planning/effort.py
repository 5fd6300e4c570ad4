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
    strokes = {
        Articulation.TONGUED: settings.tongue_stroke_share,
        Articulation.LEGATO_TONGUED: settings.legato_stroke_share,
    }
    factors = []
    before: float | None = None
    for placement, articulation in zip(
        slide_plan.placements, slide_plan.articulations, strict=True
    ):
        moved = 0.0
        if before is not None and placement.cm is not None:
            moved = abs(placement.cm - before) / CM_IN_M
        before = placement.cm
        arm = moved * settings.arm_share_per_m
        factors.append(1.0 + strokes.get(articulation, 0.0) + arm)
    return tuple(factors)
